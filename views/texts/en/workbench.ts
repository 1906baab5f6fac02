/** Wires, supply, fuse and capacitor. */

/** Three figures are more than the inputs are good for. */
const figure = (value: number | undefined) => (value === undefined ? '?' : String(Number(value.toPrecision(3))));

type Figures = Readonly<Record<string, number>>;

const inputs: Readonly<
  Record<string, { label: string; unit: string; hint?: string; example: string; missing: string }>
> = {
  voltageV: {
    label: 'Highest voltage of the supply',
    unit: 'V',
    hint: 'With the knob turned all the way up.',
    example: '12.5',
    missing: 'the voltage',
  },
  supplyA: {
    label: 'Current the supply gives',
    unit: 'A',
    hint: 'For long, as its label says.',
    example: '10',
    missing: 'what the supply gives',
  },
  lanes: { label: 'Lanes on this supply', unit: '', example: '4', missing: 'the number of lanes' },
  awg: {
    label: 'Wire: gauge (AWG)',
    unit: '',
    hint: 'Or its copper below. One of the two is enough.',
    example: '16',
    missing: 'the gauge',
  },
  areaMm2: { label: 'Wire: copper', unit: 'mm²', example: '1.5', missing: 'the copper' },
  lengthM: {
    label: 'Length, one way',
    unit: 'm',
    hint: 'Supply to the furthest controller and on to the track.',
    example: '1.5',
    missing: 'the length',
  },
  currentA: {
    label: 'Current on average',
    unit: 'A',
    hint: 'Of one lane, over many laps.',
    example: '5',
    missing: 'the current',
  },
  ambientC: {
    label: 'Temperature around the wire',
    unit: '°C',
    hint: 'Warm under a table or in a case.',
    example: '30',
    missing: 'the temperature around the wire',
  },
  insulationC: {
    label: 'Temperature the insulation stands',
    unit: '°C',
    hint: 'Printed on the wire or its packing.',
    example: '80',
    missing: 'what the insulation stands',
  },
  fuseA: { label: 'Fuse of a lane', unit: 'A', example: '7.5', missing: 'the fuse' },
  motorOhm: {
    label: 'Resistance of the motor',
    unit: 'ohm',
    hint: 'Measured cold and briefly, or from the car’s page.',
    example: '0.6',
    missing: 'the motor’s resistance',
  },
  bridgeOhm: {
    label: 'Resistance of the controller',
    unit: 'ohm',
    hint: 'Its switches at full trigger.',
    example: '0.02',
    missing: 'the controller’s resistance',
  },
  trackOhm: {
    label: 'Resistance of the track',
    unit: 'ohm',
    hint: 'Rails, joints, plugs and braids, there and back.',
    example: '0.1',
    missing: 'the track’s resistance',
  },
  driverA: {
    label: 'Current the controller stands',
    unit: 'A',
    hint: 'The rating of its switches.',
    example: '40',
    missing: 'what the controller stands',
  },
  pwmHz: { label: 'Switching frequency', unit: 'Hz', example: '2000', missing: 'the switching frequency' },
  dutyPercent: {
    label: 'Drive',
    unit: '%',
    hint: 'How much of the time power is on. Half is the worst case for the capacitor.',
    example: '50',
    missing: 'the drive',
  },
  brakePercent: { label: 'Release brake', unit: '%', example: '70', missing: 'the release brake' },
  dragPercent: { label: 'Drag brake', unit: '%', example: '0', missing: 'the drag brake' },
  capacitorUf: { label: 'Capacitor', unit: 'µF', example: '2200', missing: 'the capacitor' },
  capacitorV: { label: 'Rated voltage', unit: 'V', example: '25', missing: 'the capacitor’s rated voltage' },
  capacitorRippleA: {
    label: 'Rated ripple current',
    unit: 'A',
    hint: 'In its data sheet, as rms.',
    example: '2.5',
    missing: 'the capacitor’s ripple current',
  },
  capacitorLifeH: { label: 'Rated life', unit: 'h', example: '5000', missing: 'the capacitor’s rated life' },
  capacitorRatedC: {
    label: 'Temperature of the rated life',
    unit: '°C',
    example: '105',
    missing: 'the temperature of the rated life',
  },
  capacitorC: {
    label: 'Temperature of the capacitor',
    unit: '°C',
    hint: 'Measured after a long run.',
    example: '50',
    missing: 'the temperature of the capacitor',
  },
  brakingEnergyJ: {
    label: 'Energy that braking gives back',
    unit: 'J',
    hint: 'At most what the car has: half its mass times its speed squared. A car of 110 g at 11 m/s has 6.7 J; in a computed case 2.1 J came back.',
    example: '2',
    missing: 'the energy of braking',
  },
  supplyCanSink: {
    label: 'Does the supply take current back?',
    unit: '',
    example: '',
    missing: 'whether the supply takes current back',
  },
};

const reasons: Readonly<Record<string, string>> = {
  dropLarge: 'More than 5 % is lost in the leads: cars slow each other down. Take thicker or shorter wire.',
  tooHot: 'Even the cool end of the estimate is more than the insulation stands. Take thicker wire.',
  maybeHot: 'The warm end of the estimate is more than the insulation stands. Take thicker wire, or measure.',
  fuseAboveWire:
    'At the fuse’s current this wire gets hotter than its insulation stands, and the fuse would hold. Take a smaller fuse or thicker wire.',
  fuseMaybeAboveWire: 'At the fuse’s current this wire may get hotter than its insulation stands.',
  fuseAboveDriver: 'The fuse lets through more than the controller stands: the controller goes first.',
  fuseBelowCurrent: 'The fuse is below the current that flows for long: it will blow while racing.',
  fuseNeverBlows: 'The supply gives less than twice the fuse: at a short it may never blow.',
  stallAboveDriver: 'A car that is held at full trigger draws more than the controller stands.',
  stallNearDriver: 'A car that is held at full trigger draws more than 80 % of what the controller stands.',
  stallAboveSupply:
    'One car that starts or is held draws more than the supply gives: the voltage falls, or the supply shuts off.',
  lanesAboveSupply:
    'All lanes starting at once draw more than the supply gives: cars slow each other down, or the supply shuts off.',
  voltageAboveRating: 'The voltage is above what the capacitor stands. It can burst. Do not switch on.',
  voltageNearRating: 'The voltage is above 80 % of what the capacitor stands. Take one for a higher voltage.',
  rippleAboveRating:
    'More ripple current than the capacitor stands: it gets hot and dries out. Take a larger one or several.',
  rippleNearRating: 'More than 80 % of the ripple current that the capacitor stands.',
  droopLarge:
    'The voltage falls by more than 10 % in each period where the supply is slow. Take a larger capacitor or a higher frequency.',
  hotterThanRated: 'The capacitor gets hotter than it is made for.',
  nearlyRatedHeat: 'Less than 20 K below what it is made for.',
  pumpsUp:
    'A chopped brake lifts the voltage, and this supply takes nothing back: the rest of the lane sees it. A full brake, no brake, a supply that takes current back or a larger capacitor help.',
  pumpsAboveRating: 'Braking can lift the voltage above what the capacitor stands. It can burst. Do not use this.',
};

/** What was found, with figures and units. */
const figures: Readonly<Record<string, (f: Figures) => string>> = {
  drop: (f) =>
    `${figure(f.dropV)} V are lost in the leads, ${figure(f.dropPercent)} % of the voltage. The wire has ${figure(f.areaMm2)} mm² of copper, ${figure(f.diameterMm)} mm across if solid, ${figure(f.milliohmPerM)} milliohm per metre.`,
  heat: (f) =>
    `Each conductor makes ${figure(f.heatWPerM)} W of heat per metre. With no cooling it would warm by ${figure(f.warmingKPerS)} K a second; free in the air it ends somewhere between ${Math.round(f.estimateLowC as number)} and ${Math.round(f.estimateHighC as number)} °C. That is an estimate and may be wrong by half, never a permission: bundles and covers get hotter.`,
  fuse: (f) =>
    `At ${figure(f.fuseA)} A, which the fuse lets through for long, the wire ends at about ${Math.round(f.estimateAtFuseC as number)} °C, by an estimate that may be wrong by half.`,
  stall: (f) =>
    `A car held at full trigger draws ${figure(f.stallA)} A; the controller stands ${figure(f.driverA)} A. The leads have ${figure(f.leadsOhm)} ohm, there and back.`,
  supply: (f) =>
    `One car at the start draws up to ${figure(f.stallA)} A, all lanes together up to ${figure(f.allLanesA)} A; the supply gives ${figure(f.supplyA)} A.`,
  rating: (f) => `The voltage is ${figure(f.ratingPercent)} % of what the capacitor stands.`,
  ripple: (f) =>
    `About ${figure(f.rippleA)} A of ripple current; the capacitor stands ${figure(f.capacitorRippleA)} A.`,
  droop: (f) => `Without help from the supply the voltage falls by ${figure(f.droopV)} V in each period.`,
  life: (f) => `About ${figure(f.lifeH)} hours: twice as long for every 10 K less.`,
  pumpUp: (f) => `After braking the voltage can stand at ${figure(f.pumpedV)} V.`,
};

const titles: Readonly<Record<string, string>> = {
  drop: 'Voltage lost in the leads',
  heat: 'Heat of the wire',
  fuse: 'Fuse',
  stall: 'Car held at full trigger',
  supply: 'Start on all lanes',
  rating: 'Capacitor: voltage',
  ripple: 'Capacitor: ripple current',
  droop: 'Capacitor: voltage between bursts',
  life: 'Capacitor: life',
  pumpUp: 'Braking into the supply',
};

const states: Readonly<Record<string, string>> = {
  ok: 'Nothing speaks against it',
  warning: 'Warning',
  stop: 'Stop',
  unknown: 'Cannot say',
};

const list = (parts: readonly string[]) =>
  parts.length < 2 ? parts.join('') : `${parts.slice(0, -1).join(', ')} and ${parts.at(-1)}`;

export const workbench = {
  title: 'Wiring workbench',
  intro:
    'Type in what you know of a track’s wiring: what can be said is said beside it. Nothing is assumed, and nothing is saved.',
  groups: {
    supply: 'Supply',
    wire: 'Leads and fuse',
    controller: 'Car and controller',
    capacitor: 'Capacitor',
  },
  inputs,
  canSink: { yes: 'Yes', no: 'No', unknown: 'Not known', hint: 'Batteries do; most plug-in supplies do not.' },
  hint: (hint: string | undefined, example: string) => `${hint === undefined ? '' : `${hint} `}Such as ${example}.`,
  number: (least: number, most: number) => `A number from ${least} to ${most}, please.`,
  whole: (least: number, most: number) => `A whole number from ${least} to ${most}, please.`,
  /** Of a value under a key of a file. */
  wrongKey: (key: string, sentence: string) => `${key}: ${sentence}`,
  unknownKey: (key: string) => `There is no "${key}" among the inputs.`,
  notAnObject: 'The inputs must be one JSON object.',
  boolean: 'true or false, please.',
  twoWires: 'Gauge and copper are of two different wires. Give one of them.',
  button: 'Work it out',
  clear: 'Begin anew',
  exampleButton: 'Show an example',
  overall: (state: string) => `All in all: ${(states[state] ?? state).toLowerCase()}`,
  check: (name: string) => titles[name] ?? name,
  state: (state: string) => states[state] ?? state,
  titleOf: (check: string, state: string) => `${titles[check] ?? check}: ${(states[state] ?? state).toLowerCase()}`,
  missing: (names: readonly string[]) =>
    `Missing: ${list(names.map((name) => (name === 'wire' ? 'the wire’s gauge or copper' : (inputs[name]?.missing ?? name))))}.`,
  figures: (check: string, values: Figures) => figures[check]?.(values) ?? '',
  reason: (reason: string) => reasons[reason] ?? reason,
  /** Beside every result. */
  estimate: 'Estimate, not a release for use.',
  cautionsTitle: 'Before you build or switch on',
  cautions: [
    'Estimates, not a release for use. Limits and default rules are common practice, without a source.',
    'Fuse each lane near the supply.',
    'Check polarity before plugging in.',
    'Motors, leads and bridges get hot enough to burn.',
    'Solder with ventilation and eye protection, and discharge the capacitor first.',
    'Mains only through a certified supply of the right rating. Never open it.',
    'Follow the rules where you live. Fixed wiring and mains are a licensed electrician’s.',
  ],
  command: {
    wrongUse: (reason: string) => `${reason}\n"lanewise wiring --help" says what is possible.`,
    oneFile: 'Name one file.',
    wrongKeyIn: (source: string, sentence: string) => `${source}: ${sentence}`,
    usage: (keys: string) => `Usage: lanewise wiring FILE [--json]

What a track's wiring has to stand: voltage lost, heat, fuse, currents, capacitor, and what braking pumps up.
FILE holds one JSON object (- reads standard input). Leave out what you do not know: what needs it then says so.

${keys}

  --json     one JSON document instead of text: {"overall","checks":[{"check","state","missing","findings",
             "figures"},…],"cautions":[…]}. States are ok, warning, stop and unknown; ok only if nothing is missing
  --help     this text
`,
    key: (name: string, label: string, unit: string, width: number) =>
      `  ${name.padEnd(width)}  ${label}${unit === '' ? '' : `, ${unit}`}`,
    canSink: 'true or false',
    overall: (state: string) => `Overall: ${(states[state] ?? state).toLowerCase()}.`,
    head: (check: string, state: string) => `${titles[check] ?? check}: ${(states[state] ?? state).toLowerCase()}`,
    line: (sentence: string) => `  ${sentence}`,
  },
};
