/** What the page of a profile says about a motor and its car, and the page where a car's motor is described. */
const unit = (value: string, name: string) => `${value} ${name}`;

export const motor = {
  title: 'On a motor',
  lead: 'What the model of a motor and its car makes of these settings.',
  honest: 'Numbers help to compare two setups of one car; they do not predict lap times.',
  leftOut:
    'The model leaves out brush drop and commutation, iron loss, the temperature of magnet and winding, lateral grip, supply sag with other lanes, and how straight the trigger’s sensor is.',
  more: 'More of the model: half trigger, grip, currents and heat, switching frequency',

  choice: {
    label: 'Motor and car',
    show: 'Show',
    names: {
      mild: 'Preset: mild 1/32',
      club: 'Preset: club 1/24',
      strong: 'Preset: strong 1/24',
      car: 'This car, as measured',
    },
    preset: 'Presets are from memory and right in their order of magnitude only. A car with measured values says more.',
    measured: 'With the values that were given for this car.',
    give: 'Give this car’s own values',
    change: 'Change this car’s values',
  },

  mPerS: (value: string) => unit(value, 'm/s'),
  metres: (value: string) => unit(value, 'm'),
  seconds: (value: string) => unit(value, 's'),
  amperes: (value: string) => unit(value, 'A'),
  watts: (value: string) => unit(value, 'W'),
  volts: (value: string) => unit(value, 'V'),
  hertz: (value: number) => `${value} Hz`,
  percent: (value: string) => `${value} %`,
  never: 'not within 20 s',

  speed: {
    title: (trigger: number) => (trigger === 1 ? 'Speed after a full press' : 'Speed after half a press'),
    description: (speed: string, time: string) => `From rest: ${speed} m/s after ${time} s.`,
    compared: (name: string, speed: string) => `With ${name}: ${speed} m/s.`,
    spins: (push: string, grip: string) =>
      `The driven wheels spin at first: they hold ${grip} N where the motor could push with ${push} N.`,
    time: 'Time',
    axis: 'Speed, m/s',
  },

  stops: {
    title: 'Way to a stop',
    description: (speed: string, own: string, coast: string) =>
      `From ${speed} m/s: ${own} with the trigger let go, ${coast} when the motor is left open.`,
    speed: 'Speed, m/s',
    axis: 'Way, m',
    open: 'Left open (coasting)',
    released: (name: string) => `Let go: ${name}`,
    from: 'From',
    openWay: 'Open, way',
    openTime: 'Open, time',
    ownWay: (name: string) => `${name}, way`,
    ownTime: (name: string) => `${name}, time`,
    longerThanOpen: (speed: string) =>
      `From ${speed} m/s the braked car runs further than an open one: its wheels slide, and a sliding tyre holds less.`,
  },

  grip: {
    title: 'Grip and brake',
    push: (push: string, grip: string) =>
      `Held at full drive the motor could push with ${push} N; the driven tyres hold ${grip} N.`,
    above: (speed: string, percent: string) =>
      `From ${speed} m/s, a brake above ${percent} % only makes the wheels slide: more of it does not stop the car sooner.`,
    never: 'At every speed the tyres hold even a full brake.',
    table: 'Brake strength above which the wheels slide',
    speed: 'Speed',
    strength: 'Wheels slide above',
    holds: 'hold at full brake',
  },

  currents: {
    title: 'Currents and heat',
    lead: 'At 20 % drive the car is looked at where it runs with no load but its own friction.',
    head: 'What',
    stall: 'Stall current, motor held at full drive',
    peak: 'Largest current of a start',
    lightSpeed: 'Speed at 20 % drive',
    mean: 'Mean current there',
    rms: 'Current that heats (rms) there',
    ripple: 'Ripple of the current there',
    supply: 'Current from the supply there',
    heat: 'Heat in the winding there',
  },

  frequency: {
    title: 'Switching frequency',
    low: (lowHz: number, low: string, highHz: number, high: string) =>
      `A low frequency feels stronger and less proportional: at 20 % drive and light load the car runs at ${low} % of full speed with ${lowHz} Hz and at ${high} % with ${highHz} Hz.`,
    syncHeat: (lowHz: number, low: string, highHz: number, high: string) =>
      `With full off-time braking the frequency changes heat, not pull: at 20 % drive and light load ${lowHz} Hz puts ${low} W into the winding, ${highHz} Hz ${high} W.`,
    syncBrake: 'Full off-time braking already is a drag brake of 100 %: at part throttle it brakes as hard as it can.',
    fast: 'With fast decay the current of the off time goes back to the supply, which must be able to take it.',
    chopped: (which: 'release' | 'drag', set: string) =>
      `${which === 'release' ? 'The release brake' : 'The drag brake'} of ${set} % is chopped, so what it does depends on the switching frequency. It brakes like this share of a full brake:`,
    choppedHead: 'Switching frequency',
    choppedShare: 'Share of a full brake',
    ownHz: (hz: number) => `${hz} Hz (this profile)`,
    table: 'Mean current at 20 % drive, by what the turning motor gives back',
    atVolts: (volts: number) => `at ${volts} V`,
    lightSpeed: 'Speed at light load',
    heat: 'Heat',
  },

  map: {
    title: 'Pull over speed',
    description: (hz: number) =>
      `Mean motor current at ${hz} Hz at five levels of drive and at none; below zero the motor brakes. A steep line holds its speed, a flat one pulls on.`,
    speed: 'Back EMF, share of track voltage',
    axis: 'Mean current, A',
    duty: 'Drive',
  },

  car: {
    title: (name: string) => `Motor values of ${name}`,
    crumb: 'Motor values',
    lead: 'Begin with a preset and put in what you have measured. A profile of this car is then looked at with these values.',
    preset: 'Begin with a preset',
    fill: 'Fill in',
    save: 'Save values',
    saved: 'The values are saved.',
    remove: 'Remove values',
    optional: 'Wiring, magnet and tyres',
    wrong: (label: string, least: number, most: number) => `${label}: a number from ${least} to ${most}, please.`,
    tooFast:
      'These values do not fit together: no motor of this size answers so fast. Look at inductance, back EMF constant and rotor inertia.',
    safety: {
      title: 'Before you measure',
      text: [
        'Use a supply with a current limit, and set it low.',
        'Hold a motor still only for a second, and only when it is cold; let it cool before you do it again.',
        'A motor that has run hard is hot enough to burn you.',
        'Check polarity first. These numbers are estimates, not a release for use.',
      ],
    },
    fields: {
      rOhm: {
        label: 'Winding resistance',
        unit: 'ohm',
        hint: 'Voltage over current with the motor held still, briefly and cold: R = V / I.',
      },
      lMh: {
        label: 'Winding inductance',
        unit: 'mH',
        hint: 'From an LCR meter at 1 kHz, or from how fast the current rises.',
      },
      keVs: {
        label: 'Back EMF constant',
        unit: 'V s/rad',
        hint: 'Run it free at a known voltage: Ke = (V − I R) / speed, with the speed in rad/s (rpm × 0.1047).',
      },
      jm: {
        label: 'Rotor inertia',
        unit: 'kg m²',
        hint: 'About half of mass × radius² of the rotor: 10 g and 5 mm give 1.2e-7.',
      },
      b: {
        label: 'Viscous friction',
        unit: 'N m s/rad',
        hint: 'Free-running current at two voltages: what Ke × current gains per rad/s.',
      },
      tf: {
        label: 'Dry friction',
        unit: 'N m',
        hint: 'Ke × free-running current, less the viscous part: Tf + b × speed = Ke × I.',
      },
      vs: { label: 'Track voltage', unit: 'V', hint: 'At the track, while a car drives.' },
      mKg: { label: 'Mass of the car', unit: 'kg', hint: '0.110 for 110 g.' },
      rM: { label: 'Radius of the driven wheels', unit: 'm', hint: 'Half of the diameter: 20.4 mm are 0.0102.' },
      gear: {
        label: 'Gear ratio',
        unit: '',
        hint: 'Motor turns for one turn of the wheels: teeth of the crown over teeth of the pinion.',
      },
      mu: {
        label: 'Grip of the tyres',
        unit: '',
        hint: 'Pull of a spring balance at which the driven wheels begin to slide, over the load on them.',
      },
      fMagN: {
        label: 'Downforce of the magnet',
        unit: 'N',
        hint: 'Extra pull that lifts the car off the track: 100 g on a balance is about 1 N. 0 without a magnet.',
      },
      crr: {
        label: 'Rolling resistance',
        unit: '',
        hint: 'Pull that keeps the car rolling with the pinion off, over its weight. 0.03 is usual.',
      },
      rear: {
        label: 'Share of weight on the driven wheels',
        unit: '',
        hint: 'Driven axle on a scale, over the whole car: 0.6 for 60 %.',
      },
      rho: { label: 'Grip left when sliding', unit: '', hint: 'As a share of the best grip; 0.7 is a guess.' },
      wiringOhm: {
        label: 'Resistance of leads and track',
        unit: 'ohm',
        hint: 'Volts lost on the way to the car, over the current. 0 leaves it out.',
      },
    },
    bench: {
      title: 'Work them out from bench readings',
      lead: 'Two readings of the motor alone, without the car: held still, and running free.',
      heldV: 'Held still: voltage',
      heldA: 'Held still: current',
      freeV: 'Running free: voltage',
      freeA: 'Running free: current',
      freeRpm: 'Running free: turns a minute',
      secondTitle: 'A second voltage tells dry from viscous friction',
      free2A: 'Running free at another voltage: current',
      free2Rpm: 'Running free at another voltage: turns a minute',
      both: 'Give both numbers of the second run, or neither.',
      compute: 'Work out and fill in',
      impossible: 'These readings do not fit together: a free motor takes less current than a held one, and turns.',
      done: 'Worked out from the readings and filled in above. Nothing is saved yet.',
    },
  },
};
