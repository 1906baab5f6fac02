/** Who is on which lane in which heat: drawing, changing and printing it. */
const count = (n: number, one: string, many = `${one}s`) => `${n} ${n === 1 ? one : many}`;

export const rotation = {
  title: (race: string) => `Rotation of ${race}`,
  programme: 'Programme',
  people: 'People',
  runHeats: 'Run the heats',
  goneDrawn: (names: string) => `Withdrawn but still in planned heats: ${names}.`,
  goneDrawnHint: 'Draw again, or swap somebody in.',
  notDrawnTitle: 'Not drawn yet',
  notDrawn: 'The draw takes everybody who is here. Who comes later is drawn in later.',
  nobody: 'Nobody is entered in this race yet.',
  enter: 'Enter people',

  caption: (race: string) => `Heats of ${race}: drivers by lane`,
  heat: 'Heat',
  heatName: (n: number) => `Heat ${n}`,
  marshals: 'Marshals',
  emptyLane: '–',
  stage: {
    armed: 'armed',
    run: 'run',
    void: 'void',
  },

  fairness: {
    heats: (heats: number, estimate: string | null) =>
      estimate === null
        ? `${count(heats, 'heat')}.`
        : `${count(heats, 'heat')}, about ${estimate} with 2 minutes between heats.`,
    changing: 'This counts everybody on the plan, also who came late or went home.',
  },

  laneOrderWrong: (lanes: number) => `Numbers from 1 to ${lanes}, each once, such as 1 3 4 2.`,
  nobodyHere: 'Nobody is here to draw. Enter people first.',
  tooManyRuns: (given: number, limit: number) =>
    `This race has ${count(limit, 'heat')} for everybody, and this draw would give somebody ${given}. Change the runs here, or “Heats for everybody” in the settings of the race.`,
  nothingLeft: 'Everybody who is here has had every lane: there is nothing left to draw. The plan was not changed.',

  changeTitle: 'Change by hand',
  changeHint: 'Heats that were armed or run stay as they are.',
  orderTitle: 'Order of the heats',
  earlier: 'Move up',
  later: 'Move down',
  earlierOf: (n: number) => `Move heat ${n} up`,
  laterOf: (n: number) => `Move heat ${n} down`,
  moveTitle: 'Move a heat',
  moveHeat: 'Heat',
  moveTo: 'To the place of',
  move: 'Move',
  swapTitle: 'Swap two drivers',
  swapFirst: 'First',
  swapSecond: 'Second',
  seat: (heat: number, lane: number, nickname: string | null) => `Heat ${heat}, lane ${lane}: ${nickname ?? 'empty'}`,
  swap: 'Swap them',
  swapHint: 'Look at the fairness afterwards: lane counts may become uneven.',
  removeTitle: 'Take a heat off the plan',
  remove: 'Take it off',
  addTitle: 'Add a heat',
  addWho: 'Who is on which lane?',
  addLane: (lane: number) => `Lane ${lane}`,
  addNobody: 'Nobody',
  add: 'Add the heat',
  addEmpty: 'Put at least one driver on a lane.',
  addTwice: 'A driver can be on one lane only.',

  refused: {
    'no such heat':
      'This heat cannot be moved there: the plan has changed, or it is at the end already. Nothing was changed.',
    'no such lane': 'The track has no such lane. Nothing was changed.',
    'heat started': 'This heat was armed meanwhile: it stays as it is. Nothing was changed.',
    'nobody to move': 'Both places hold the same. Nothing was changed.',
    'twice in a heat': 'That driver would be in the heat twice. Nothing was changed.',
    'marshals that heat': 'That driver stands marshal in the heat. Nothing was changed.',
    planChanged: 'The race has changed meanwhile: somebody went home, or a lane is gone. Nothing was changed.',
    started:
      'This heat was started: it cannot come off the plan. Nothing was changed. Void it at race control instead.',
  },

  night: {
    title: 'Programme',
    none: 'Nothing is drawn yet.',
    cardsTitle: 'Cards',
    cardsHint: 'One for each driver, to cut out. Tap a nickname for the card that follows the evening.',
    drives: (lane: number, race: string | null) => (race === null ? `Lane ${lane}` : `Lane ${lane}, ${race}`),
    idle: 'Not in any heat.',
  },

  estimate: {
    hours: (n: number) => `${n} h`,
    minutes: (n: number) => `${n} min`,
    seconds: (n: number) => `${n} s`,
  },
};
