import type { Step } from './steps.ts';

/**
 * What drivers complain of, and the changes that they try then, the first one first. Drivers' practice, no source; words
 * stand in `views/texts/en/advice.ts`. Steps are of a size that is just felt. A row without steps has its cause elsewhere.
 */
export const rows = {
  jumps: [
    { setting: 'minDrive', by: -20 },
    { setting: 'curve', by: -10 },
    { setting: 'releaseBand', by: 10 },
  ],
  deadTravel: [
    { setting: 'minDrive', by: 20 },
    { setting: 'releaseBand', by: -10 },
  ],
  creeps: [{ setting: 'releaseBand', by: 10 }],

  nervous: [
    { setting: 'curve', by: -20 },
    { setting: 'minDrive', by: -10 },
    { setting: 'pwmHz', times: [3, 2] },
  ],
  vague: [
    { setting: 'curve', by: 15 },
    { setting: 'pwmHz', times: [2, 3] },
  ],
  lateSurge: [
    { setting: 'curve', straighten: 15 },
    { setting: 'maxDrive', by: -50 },
  ],
  lazyStraight: [{ setting: 'maxDrive', by: 50 }],

  spinsOut: [
    { setting: 'rampUpMs', by: 40 },
    { setting: 'curve', by: -15 },
    { setting: 'minDrive', by: -20 },
  ],
  lazyOut: [
    { setting: 'rampUpMs', by: -30 },
    { setting: 'curve', by: 15 },
    { setting: 'minDrive', by: 20 },
  ],
  pinned: [
    { setting: 'brakeFull', by: -100 },
    { setting: 'dragStrength', by: -1000 },
    { setting: 'dragZone', by: -50 },
    { setting: 'rectify', to: 'async' },
  ],
  slowsMidBend: [
    { setting: 'closingOnly', to: true },
    { setting: 'dragZone', by: -50 },
  ],

  brakesLate: [
    { setting: 'brakeFull', by: 100 },
    { setting: 'dragBrake', by: 100, zoneTo: 300 },
  ],
  stopsDead: [
    { setting: 'brakeFull', by: -100 },
    { setting: 'closingOnly', to: true },
    { setting: 'dragStrength', by: -1000 },
  ],
  noPartBrake: [
    { setting: 'dragBrake', by: 100, zoneTo: 350 },
    { setting: 'curve', by: -15 },
  ],
  noBrake: [],

  onePlace: [],
  innerLane: [
    { setting: 'maxDrive', by: -30 },
    { setting: 'minDrive', by: -10 },
    { setting: 'dragStrength', by: 50 },
  ],
  fullHeat: [],
  coldTyres: [{ setting: 'rampUpMs', by: 30 }],
  freshGrip: [
    { setting: 'rampUpMs', by: -20 },
    { setting: 'brakeFull', by: 50 },
  ],

  // Upper ends of what children of 10 to 12, 7 to 9 and 4 to 6 drive with at 12 V, and the lower end of the youngest.
  smallChild: [
    { setting: 'maxDrive', downTo: [900, 750, 600, 450] },
    { setting: 'curve', by: -30 },
    { setting: 'rampUpMs', by: 100 },
  ],
  borrowed: [],

  hotMotor: [
    { setting: 'brakeFull', by: -100 },
    { setting: 'dragStrength', by: -100 },
    { setting: 'pwmHz', times: [3, 2] },
  ],
  hotController: [{ setting: 'pwmHz', times: [2, 3] }],
  noise: [{ setting: 'pwmHz', times: [3, 2] }],
} as const satisfies Record<string, readonly Step[]>;

export type AdviceRow = keyof typeof rows;

/** The rows by where a driver notices them, in the order of the page. */
export const sections = {
  rest: ['jumps', 'deadTravel', 'creeps'],
  trigger: ['nervous', 'vague', 'lateSurge', 'lazyStraight'],
  corners: ['spinsOut', 'lazyOut', 'pinned', 'slowsMidBend'],
  brakes: ['brakesLate', 'stopsDead', 'noPartBrake', 'noBrake'],
  place: ['onePlace', 'innerLane', 'fullHeat', 'coldTyres', 'freshGrip'],
  people: ['smallChild', 'borrowed'],
  heat: ['hotMotor', 'hotController', 'noise'],
} as const satisfies Record<string, readonly AdviceRow[]>;

export const isAdviceRow = (name: string): name is AdviceRow => Object.hasOwn(rows, name);
