/** Handicaps: settings of a race, what they come to, what is shown before a heat. */
export const handicap = {
  title: 'Handicap',
  intro:
    'Whoever is quicker starts later, or whoever is slower is given laps at the start, so that everybody has a chance. It is worked out from all laps that the club has, and again after every heat.',
  scope: 'It holds for every heat that was not armed yet. A heat that is armed or was run keeps what it has.',
  nobody: 'Nobody is entered in this race yet.',
  back: 'Rotation',

  mode: 'Kind',
  modes: {
    off: 'Off',
    delay: 'Start delays',
    credit: 'Credited laps',
  },
  modeHints: {
    off: 'Everybody starts together and nothing is added.',
    delay: 'Each lane has a countdown of its own. A delay is part of the race: it is never given back.',
    credit:
      'All start together; the program enters what is given at the start, as a ruling that can be undone. Best for families: nobody stands still while others drive.',
    creditLaps:
      'All start together; seconds are taken off at the start, as a ruling that can be undone. Best for families: nobody stands still while others drive.',
  },
  dial: 'How much of the difference is made up for',
  dialUnit: '%',
  dialHint:
    'At 100 everybody has the same chance to win. The dial is steeper than it looks: in fields as different as adults and children the best chance is 79 to 85 points above the worst without a handicap, and at 75 still 55 to 57 points. Clubs that do not want it quite even try 90 first.',
  cap: 'Nobody gets more than',
  capHint: 'In seconds; of credited laps, what is driven in that time. Empty: no limit.',
  round: 'Rounded to',
  roundHint: 'In seconds. Credited laps are rounded to tenths of a lap.',
  seconds: 's',
  laps: 'laps',

  drivers: 'Drivers',
  byHand: (name: string) => `${name}: laid down by hand`,
  amount: (name: string) => `By hand for ${name}`,
  amountHint: 'Seconds; with credited laps in a race over a time: laps. Only where the box above is ticked.',
  save: 'Save',

  now: 'What it comes to',
  caption: 'Handicap and chances of each driver in the next heat',
  driver: 'Driver',
  heat: 'Next heat',
  gets: 'Gets',
  chance: 'Chance without → with',
  noHeat: 'none planned',
  heatNumber: (n: number) => `Heat ${n}`,
  working: 'being worked out',
  nothing: 'nothing',
  startsLater: (s: string) => `starts ${s} s later`,
  lapsGiven: (laps: string) => `${laps} laps given`,
  secondsGiven: (s: string) => `${s} s taken off`,
  chances: (before: string, after: string) => `${before} → ${after}`,
  noteOn: (name: string) => `${name}:`,
  percent: (whole: string) => `${whole} %`,
  percentUnder: 'under 1 %',
  percentOver: 'over 99 %',
  chanceUnknown: 'not known',
  handWould: (gets: string, chance: string) => `By hand. Worked out would be: ${gets}, chance ${chance}.`,
  handOnly: 'By hand.',
  provisional: 'provisional',
  provisionalNote: 'Provisional: few heats are known.',
  byBest: 'Goes by the best heats of late, which were quicker than the last ones.',
  byLow: 'Goes by the quickest level of the last nights, which was quicker than the last heats.',
  unknownNote: 'No lap is known yet.',
  askNote: 'Raced before? Nobody said.',
  askLink: 'Say so',

  noHistory:
    'The club has no laps of earlier nights yet. Without them nobody gets anything before everybody in a heat has driven a confirmed heat tonight; laps of the past can be read in from a table.',
  pending: (n: number) =>
    n === 1
      ? 'One heat is being worked out. Load the page again in a moment.'
      : `${n} heats are being worked out. Load the page again in a moment.`,
  chancesPrivate: 'Chances are shown to directors only: here and on race control.',

  /** Before a heat, on race control. */
  desk: {
    title: 'Handicap',
    pending: 'Being worked out. Armed now, the heat starts with what stands here.',
    none: 'No handicap in this heat: too little is known of somebody’s pace.',
    chance: (before: string, after: string) => `chance ${before}, now ${after}`,
    surprise: (heat: number) =>
      `Heat ${heat}: won by far more than was to be expected (less than 1 in 100). Have a look at counted laps, sensors and settings; most often it is one of these.`,
  },
  heatOf: (race: string, n: number) => `${race}, heat ${n}`,
  resultsNote: (heats: string) =>
    `Won by far more than was to be expected (less than 1 in 100): ${heats}. Have a look at counted laps, sensors and settings. Only directors see this.`,
  /** On the wall and on cards. */
  wall: {
    later: (s: string) => `+${s} s`,
    laps: (laps: string) => `+${laps} laps`,
    seconds: (s: string) => `−${s} s`,
  },

  reset: {
    title: 'Quickest levels of late',
    text: 'Handicaps do not follow a driver who gets slower all at once: they go by the quickest levels of the last nights too. Where somebody has truly slowed down, after an injury perhaps, what was before today can be forgotten. The pace shown stays as it is.',
    button: 'Forget what was before today',
    done: (date: string) => `Levels from before ${date} are forgotten.`,
  },
};
