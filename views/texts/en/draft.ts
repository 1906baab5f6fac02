/** Asking for a draw, looking at a draft of it, and taking it. */
const count = (n: number, one: string, many = `${one}s`) => `${n} ${n === 1 ? one : many}`;
const list = (parts: readonly string[]) =>
  parts.length < 2 ? parts.join('') : `${parts.slice(0, -1).join(', ')} and ${parts.at(-1)}`;

type Run = { readonly heat: number; readonly lane: number };

export const draft = {
  form: {
    title: 'Draw',
    again: 'Draw again',
    againPlanned: 'Nothing was run yet: a new draw takes the place of this one.',
    againRun:
      'What was armed or run stays. The rest is drawn anew for everybody who is here: who came late catches up, who is withdrawn is left out.',
    here: (n: number) => `${count(n, 'driver is', 'drivers are')} here.`,
    first: 'You see a draft first. Nothing is saved before you take it.',
    show: 'Show a draft',

    aim: 'What matters most?',
    aimHint:
      'With many drivers one is the price of the other: who meets everybody evenly sometimes drives twice running.',
    aimStops: ['Even opponents', 'Balanced', 'Rest between heats'],
    keep: 'Keep this for the club',
    keepHint: 'The next draws begin with it.',

    runsPerLane: 'Runs on every lane',
    marshals: 'Marshals in each heat',

    lateRuns: (names: readonly string[]) => `Runs on every lane for ${list(names)}`,
    lateRunsHint: 'They came late. Empty: as many as everybody.',

    timeTitle: 'Not enough time for all of it?',
    length: 'How long may it take?',
    lengthRuns: 'As long as the runs need',
    lengthHeats: 'At most so many heats',
    lengthMinutes: 'We have so many minutes',
    heats: 'Heats',
    minutes: 'Minutes',
    minutesHint: (heat: string) => `A heat takes ${heat}, and 2 minutes go by before the next one.`,
    minutesUnknown: 'The heats of this race have no fixed length, so the program cannot tell how many fit.',
    unitMinutes: 'min',
    timeHint: 'Where all runs do not fit, everybody gets as many as the others, one more or less.',

    placesTitle: 'Lanes, cars and marshals',
    carsPerHeat: 'Most cars in a heat',
    carsHint: 'Empty: a car on every lane. Fewer cars leave more people to stand marshal.',
    lanesOut: 'Lanes that are out of use',
    lane: (n: number) => `Lane ${n}`,
    notMarshals: (names: readonly string[]) => `Left out, as their pages say: ${list(names)}.`,
    everyoneMarshals: (names: readonly string[]) => `${list(names)} may stand marshal too`,

    moreTitle: 'Other ways to draw',
    method: 'How is it drawn?',
    methodSearch: 'By search',
    methodSearchHint: 'Looks for heats that are as fair as mathematics allows.',
    methodStep: 'One step at a time',
    methodStepHint:
      'After each heat everybody moves one lane on; who leaves the last lane sits out. Easy to follow, less even.',
    pairs: 'Everyone meets everyone, twice, lanes swapped',
    pairsHint: 'Two cars in a heat, on two lanes.',
    laneOrder: 'Lanes in the order of the steps',
    laneOrderHint: 'For “One step at a time”.',
    order: 'Who begins?',
    orderLot: 'Drawn by lot',
    orderSignUp: 'In the order of sign-up',
    groups: 'Groups',
    groupsHint: 'More than one: each group races among itself, one group after the other.',
    groupsStay: 'The race has begun: its groups stay.',
    split: 'How are groups formed?',
    splitPace: 'By pace, the fastest group last',
    splitPaceUnknown: 'Nobody has laps on this track yet.',
    splitLot: 'By lot',
    search: 'Length of the search',
  },
  searchTimes: [
    { value: 1, label: '1 second' },
    { value: 10, label: '10 seconds' },
    { value: 60, label: '1 minute' },
  ],

  noLaneLeft: 'At least one lane must be in use.',
  pairsLanes: 'For pairs exactly two lanes must be in use.',
  noHeatLength: 'The heats of this race have no fixed length: say how many heats there may be instead.',
  noHeatFits: (minutes: number) => `Not one heat fits into that time. The first one needs ${minutes} minutes.`,
  capWords: (minutes: number, heats: number, length: string) =>
    `${count(heats, 'heat')} of ${length} fit into ${count(minutes, 'minute')}, with 2 minutes between heats.`,

  title: (race: string) => `Draft: rotation of ${race}`,
  wrongTitle: (race: string) => `Draw the rotation of ${race}`,
  nearest: 'Show the nearest draft that is possible',
  nearestWith: (changes: readonly string[]) => `It has ${list(changes)}.`,
  nearestField: (label: string, value: string) => `“${label}” ${value}`,
  usualField: (label: string) => `“${label}” as usual`,

  unsaved: 'Nothing is saved yet.',
  unsavedFirst: 'Look at the heats, and take the draw when you like it.',
  unsavedAgain: 'The plan is as it was until you take this draw.',
  planChanged: 'The plan has changed meanwhile. Nothing was saved.',
  planChangedHint: 'Somebody armed a heat, came, left, or changed the heats. This draft is for the plan as it is now.',
  planMoved: 'The plan has changed since this draft was made.',
  lookAgain: 'Look again',

  searching: 'Searching',
  searchingPercent: (percent: number) =>
    `Searching, ${percent} % done. What is shown is good already and can be taken.`,
  firstSoon: 'Looking for the first heats.',
  found: 'The search is finished.',
  stopped: 'The search was stopped. What is shown is the best it had.',
  take: 'Take this draw',
  stop: 'Stop here',
  anotherLot: 'Another lot',
  longer: (label: string) => `Search for ${label}`,
  back: 'Back',

  heats: (heats: number, estimate: string | null) =>
    estimate === null
      ? `${count(heats, 'heat')}.`
      : `${count(heats, 'heat')}, about ${estimate} with 2 minutes between heats.`,
  fewest: (n: number) =>
    `${count(n, 'heat is', 'heats are')} needed for all runs. No plan can do with fewer: that is proved.`,
  capped: (needed: number, heats: number) =>
    `All runs would need ${count(needed, 'heat')}; there is time for ${heats}. Everybody gets as many runs as the others, one more or less.`,
  oneMore: (n: number) => `${count(n, 'heat')}: one more than needed, so that the heats can be fairer.`,
  offerMore: 'Show it with one heat more',
  offerLess: 'Show it with the fewest heats',
  exempt: (names: readonly string[]) => `No marshal duty for ${list(names)}.`,
  late: (names: readonly string[]) => `New on the plan: ${list(names)}.`,
  gone: (names: readonly string[]) => `Off the plan: ${list(names)}.`,

  presetNames: {
    opponents: 'Even opponents',
    balanced: 'Balanced',
    rest: 'Rest between heats',
    step: 'One step at a time',
  },
  otherTitle: 'The same with another aim',
  otherHint: 'Searched for 1 second.',
  choose: (name: string) => `Show “${name}”`,
  pairsName: 'Everyone meets everyone, twice, lanes swapped',
  drawing: 'Being drawn.',

  changesTitle: 'What changes for whom',
  unchanged: (n: number) =>
    n === 0 ? 'Something changes for everybody.' : `Nothing changes for ${count(n, 'other', 'others')}.`,
  unchangedAll: 'Nothing changes for anybody.',
  changesShow: 'Show all changes',
  change: (from: Run | null, to: Run | null) => {
    if (from === null) return to === null ? '' : `also heat ${to.heat}, lane ${to.lane}`;
    if (to === null) return `no longer heat ${from.heat}`;
    if (from.heat === to.heat) return `heat ${to.heat} on lane ${to.lane} instead of ${from.lane}`;
    if (from.lane === to.lane) return `heat ${to.heat} instead of ${from.heat}`;
    return `heat ${to.heat} instead of ${from.heat}, lane ${to.lane} instead of ${from.lane}`;
  },
  driverChange: (changes: readonly string[]) => `${changes.join('; ')}.`,

  heatsTitle: 'Heats of the draft',
  caption: 'Heats of the draft: drivers by lane',
  kept: 'stays',
  changedKey: 'marks a lane where somebody else drives than on the plan as it is.',
  changedMark: '▸',
  changed: 'changed',
  group: 'Group',
};
