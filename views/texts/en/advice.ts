/** "What is wrong?": what drivers complain of, and what they tell each other to try. Drivers' practice, no source. */
interface RowWords {
  /** What the driver says. */
  readonly says: string;
  /** What to look at where the change does not help, or before it. */
  readonly look: readonly string[];
  /** What goes wrong with this advice. */
  readonly beware?: string;
  /** Why no change of the controller is proposed first. */
  readonly elsewhere?: string;
  /** Whether finding the creeping point is part of it. */
  readonly creepTest?: true;
}

const rows = {
  jumps: {
    says: 'It jumps when it leaves rest, jerky in hairpins',
    look: ['A trigger that sticks', 'The trigger calibration of this controller'],
    beware: 'Too low a minimum drive is dead travel at the start.',
    creepTest: true,
  },
  deadTravel: {
    says: 'Dead travel: at first nothing happens',
    look: ['The released end of the trigger calibration', 'Dirty braid'],
    beware: 'If the car creeps with the trigger released, the release band or the calibration is the cause.',
    creepTest: true,
  },
  creeps: {
    says: 'The car creeps with the trigger released',
    elsewhere: 'Calibrate the trigger first. Minimum drive is not the cause.',
    look: ['A controller that leaks', 'A brake wire that has come off'],
  },

  nervous: {
    says: 'Nervous at small trigger',
    look: ['A noisy sensor', 'A worn spring'],
    beware: 'A high switching frequency is weaker at small trigger: minimum drive may need a point more.',
  },
  vague: {
    says: 'Soft and vague at half trigger, the car is asleep',
    look: ['Gearing'],
    beware: 'A low switching frequency is stronger and makes the motor warmer, and the brake changes with it.',
  },
  lateSurge: {
    says: 'All the power comes in the last third',
    look: ['The pressed end of the trigger calibration'],
  },
  lazyStraight: {
    says: 'Lazy on the straight, all else is fine',
    look: ['Gearing', 'Volts on the lane while the car pulls', 'Voltage lost in wires and joints'],
    beware: 'The race limit stands, whatever is set here.',
  },

  spinsOut: {
    says: 'It spins or slides leaving corners',
    look: ['Tyres', 'Weight at the rear', 'Maximum drive, 5 points less'],
    beware: 'Too much ramp feels lazy, and a ramp helps only where wheels spin.',
  },
  lazyOut: {
    says: 'Too lazy out of corners',
    look: ['A shorter gear', 'The contact of the braid'],
    beware: 'If it spins then, you have passed the best setting.',
  },
  pinned: {
    says: 'It cannot roll through a fast bend, it feels pinned',
    look: ['Off-time braking: full is full drag brake at every part of the trigger'],
  },
  slowsMidBend: {
    says: 'It slows in the middle of a bend though I hold the trigger still',
    look: ['Off-time braking: full brakes at every part of the trigger'],
  },

  brakesLate: {
    says: 'It brakes too late and runs off at the end of straights',
    look: ['Grip of the tyres', 'The brake wire and its plug'],
    beware: 'Beyond what the tyres hold, more brake only locks the wheels.',
  },
  stopsDead: {
    says: 'It stops dead, or the tail swings when I let go',
    look: ['Weight at the rear', 'Tyres'],
    beware: 'Try it from the highest speed, not in a hairpin.',
  },
  noPartBrake: {
    says: 'It never slows at part trigger, only when I let go',
    look: ['What the supply does with current that comes back: a brake that is not fully on may raise its voltage'],
    beware: 'The motor gets warmer.',
  },
  noBrake: {
    says: 'There is no brake at all',
    elsewhere: 'Look at the brake wire and its plug first, and whether the release brake of this profile is above 0 %.',
    look: ['Whether this controller knows the decay mode and off-time braking that are set', 'Polarity'],
  },

  onePlace: {
    says: 'It falls off in one place only',
    elsewhere: 'Nothing on the controller: do not tune the car to one joint.',
    look: [
      'How it is driven there',
      'Guide and braid',
      'The joint of the track',
      'If it is one lane: a version for that lane',
    ],
  },
  innerLane: {
    says: 'Good on the outer lanes, off on the inner',
    look: ['Dial the new version in for the inner lane only'],
  },
  fullHeat: {
    says: 'Fast alone, slow in a full heat',
    elsewhere: 'Nothing on the controller at first: measure the volts with all cars running.',
    look: ['Where the voltage sags: the supply and its wires', 'If it stays so: the throttle curve fuller early'],
    beware: 'Try again when the supply is mended.',
  },
  coldTyres: {
    says: 'The first laps are slippery, the tyres are cold',
    look: ['Keep it as a second version, for the first three laps'],
  },
  freshGrip: {
    says: 'New tyres or a freshly cleaned track: there is more grip than before',
    look: ['Write in the notes what was new'],
  },

  smallChild: {
    says: 'A small child drives and comes off at every corner',
    look: [
      'Maximum drive at 12 V: 45 to 60 % at ages 4 to 6, 60 to 75 % at 7 to 9, 75 to 90 % at 10 to 12',
      'A magnet, or softer tyres',
      'Spare braid',
    ],
    beware: 'Raise it by 5 points when two heats went by without coming off.',
  },
  borrowed: {
    says: 'A borrowed profile feels wrong',
    elsewhere:
      'Set minimum drive anew for your car, then the release brake. A curve travels well; minimum drive and brake do not.',
    look: ['The switching frequency of its owner', 'Motor, gearing and voltage, which differ'],
    creepTest: true,
  },

  hotMotor: {
    says: 'The motor gets hot',
    elsewhere: 'First a shorter gear, and a car that runs freely.',
    look: ['The mesh of the gears', 'A bent axle', 'The timing of the motor', 'The wrong magnet', 'Voltage'],
    beware: 'Never answer heat with more brake.',
  },
  hotController: {
    says: 'The controller gets hot',
    elsewhere: 'First shorter use of the full brake, or a heat sink. Stop if it smells, and let it cool.',
    look: ['The current of the locked motor', 'Fuse and wires', 'A short in track or car'],
    beware: 'A lower switching frequency makes the motor warmer.',
  },
  noise: {
    says: 'It whines, a speaker buzzes, or a sensor triggers by itself',
    look: ['How the leads lie', 'The capacitor', 'The screen of the sensor’s wires'],
    beware: 'Check the counts with the car held still at part trigger.',
  },
} as const satisfies Record<string, RowWords>;

export const advice = {
  title: 'What is wrong?',
  link: 'Something feels wrong?',
  titleOf: (name: string) => `${name}: what is wrong?`,
  intro: 'Say what you feel, and one change is proposed. Nothing changes until you save it.',
  practice: 'This is drivers’ practice: no source, no measurement. Whether it helped, your laps say.',
  sections: {
    rest: 'Leaving rest',
    trigger: 'Over the trigger',
    corners: 'Corners',
    brakes: 'Brakes',
    place: 'Lanes, tyres and the track',
    people: 'Who drives',
    heat: 'Heat and noise',
  },
  what: 'What do you feel?',
  another: 'Something else is wrong',
  show: 'Propose a change',
  rows,

  first: 'First the car, then the knob',
  firstList: [
    'Clean tyres',
    'Braid flat, touching on both sides',
    'Guide deep in the slot, and free',
    'Gears mesh, nothing rubs',
    'The same lane, the same voltage',
  ],
  howTo: 'How to try it',
  howToText:
    'One change at a time. Drive 10 clean laps as it was (A), 10 with the change (B), 10 more with it (B), and 10 as it was (A). Tyres and grip that change on the way then count for both alike. Halve the step when you are close.',
  undo: 'To undo it, go back to the version before: none is lost.',
  creepTest: 'Finding minimum drive',
  creepTestText:
    'Leave rest with the least trigger. Raise minimum drive by 1 point until the car just moves, then take 1 point off. Write down lane and voltage.',

  change: 'Try this one change',
  setting: 'Setting',
  now: 'Now',
  then: 'Then',
  feel: 'What you will feel',
  none: 'No change is proposed',
  noneText: 'The settings that drivers change here are at their ends already, or have no effect in this profile.',
  noneElsewhere: 'The controller is not what to look at here.',
  look: 'If that does not help, look at',
  lookFirst: 'Look at',
  beware: 'Beware',
  others: 'Other changes that drivers try then',
  other: (label: string, from: string, to: string) => `${label}: ${from} to ${to}`,
  nowVersion: (version: number) => `Version ${version}`,
  tried: 'With the change',
  curveOther: 'Other points of the throttle curve',
  note: (change: string, says: string) => `${change}. ${says}.`,
  save: 'Save it as a new version',
  conflict: (latest: number) => `Version ${latest} was saved meanwhile. The proposal below starts from that one.`,
  gone: 'That change is not possible any more. Choose again.',
  choose: 'Choose what you feel.',
  hot: 'Motors, leads and controllers get hot enough to burn. Feel for heat between tries, let things cool, and stop if something smells.',
} as const;
