/** What `lanewise profile motor` says. */
const figure = (value: number | null, unit: string) =>
  value === null ? 'never' : `${Number(value.toPrecision(4))} ${unit}`;

export const motorCommand = {
  usage: `Usage: lanewise profile motor FILE [--json]

  FILE holds {"motor":{…},"profile":{…}}; "motor" may also be the name of a preset: "mild", "club" or "strong".
  Presets are orders of magnitude from memory. The fields of a motor, all of them numbers:

    rOhm        winding resistance, ohm                lMh    winding inductance, mH
    keVs        back EMF constant, V s/rad             jm     rotor inertia, kg m2
    b           viscous friction, N m s/rad            tf     dry friction, N m
    vs          track voltage, V                       mKg    mass of the car, kg
    rM          radius of the driven wheels, m         gear   motor turns a wheel turn
    mu          grip of the tyres over load
    fMagN       downforce of a magnet, N (0)           crr    rolling resistance over load (0.03)
    rear        share of weight on driven wheels (0.6) rho    grip that is left when sliding (0.7)
    wiringOhm   leads and track, ohm (0)

  --json     one JSON document instead of text; the unit stands at the end of each name
  --help     this text

FILE may be -, standard input. The numbers help to compare two setups of one car; they do not predict lap times.
`,
  wrongUse: (reason: string) => `${reason} "lanewise profile motor --help" says what is possible.`,
  oneFile: 'Name one file.',
  noDocument: (source: string) => `${source} does not hold {"motor":{…},"profile":{…}}.`,
  noPreset: (names: readonly string[]) =>
    `"motor" is an object or one of ${names.map((name) => `"${name}"`).join(', ')}.`,
  unknownKey: (key: string) => `"motor" has no field ${JSON.stringify(key)}.`,
  wrongValue: (key: string, least: number, most: number) => `"motor.${key}" is a number from ${least} to ${most}.`,

  rows: {
    steadySpeed: 'Speed at full drive',
    electrical: 'Electrical time constant',
    mechanical: 'Mechanical time constant',
    fullBrake: 'Full brake, tyres holding',
    release: 'Release brake of the profile',
    coast: 'Coasting',
    stall: 'Stall current',
    peak: 'Peak current of a start',
    ripple: 'Ripple at half duty',
    light: (duty: number) => `At ${Math.round(duty * 100)} % duty, light load`,
    grip: 'Grip of the driven tyres',
    slide: (speed: string) => `Wheels slide from ${speed}`,
  },
  speed: (mPerS: number) => figure(mPerS, 'm/s'),
  motorSpeed: (mPerS: number, radPerS: number) => `${figure(mPerS, 'm/s')} (motor ${figure(radPerS, 'rad/s')})`,
  ms: (seconds: number) => figure(seconds * 1000, 'ms'),
  stop: (timeS: number | null, distanceM: number | null) => `${figure(timeS, 's')}, ${figure(distanceM, 'm')}`,
  amperes: (value: number) => figure(value, 'A'),
  light: (speed: number, rms: number, heat: number) =>
    `${figure(speed, 'm/s')}, ${figure(rms, 'A')} rms, ${figure(heat, 'W')} of heat in the winding`,
  newtons: (value: number) => figure(value, 'N'),
  slideAbove: (share: number | null) =>
    share === null ? 'not even at full brake' : `above ${Math.round(share * 100)} % brake`,
  honest:
    'Left out: brush drop and commutation, iron loss, temperatures, lateral grip, supply sag with other lanes, sensor linearity.\nNumbers help to compare two setups of one car; they do not predict lap times.',
};
