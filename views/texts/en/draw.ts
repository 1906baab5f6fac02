/** What each key may hold; completes "… must be". */
const mustBe: Record<string, string> = {
  drivers: 'a number from 2 to 200, or a list of 2 to 200 names of at most 40 characters',
  lanes: 'a whole number from 1 to 16',
  runsPerLane: 'a whole number from 1 to 20',
  heats: 'a whole number from 1',
  carsPerHeat: 'a whole number from 1 to the number of lanes',
  marshals: 'a whole number from 0 to 16',
  preset: 'one of opponents, rest, balanced, step, equals',
  seed: 'a whole number from 0 to 4294967295',
  budgetMs: 'a whole number from 0 to 60000',
  steps: 'a whole number from 0 to 4294967295',
  format: 'lanes or pairs',
  groups: 'a whole number from 1, or a list of groups, each a list of drivers',
  exempt: 'a list of drivers',
  done: 'a list of heats, each a list with the driver or null of every lane of the track',
  published: 'a list of heats, each a list with the driver or null of every lane of the track',
  leave: 'a list of drivers',
  join: 'a list of drivers, or of {"driver":…,"runsPerLane":…} with 1 to 20 runs on every lane',
  duties: 'a list of drivers with their marshal duties so far, such as [{"driver":"Eve","duties":2}]',
  lanesOut: 'a list of lane numbers from 1 to 16',
  laneOrder: 'a list of lane numbers from 1 to 16',
};

const count = (n: number, one: string, many = `${one}s`) => `${n} ${n === 1 ? one : many}`;
const heatOf = (key: string, heat: number) => `Heat ${heat} of ${key}`;
const nearest = (what: string) => `Nearest possible draw: ${what}.`;

/** What contradicts itself in a request: the sentence, then what can be drawn instead. */
const problems = {
  'name twice': (p: { name: string; nearest: number }) =>
    `The driver "${p.name}" is entered twice, and a driver sits in one seat of a heat. ${nearest(
      p.nearest < 2 ? 'two drivers of different names' : `each of them once, ${count(p.nearest, 'driver')}`,
    )}`,
  'too few drivers': (p: { drivers: number }) =>
    `${p.drivers === 0 ? 'There is no driver' : 'One driver has nobody to race against'}: a rotation needs at least two. ${nearest('2 drivers')}`,
  'too many drivers': (p: { drivers: number; nearest: number }) =>
    `${p.drivers} drivers are more than one draw takes, which is 200. ${nearest(`groups of ${p.nearest} drivers, each drawn as a race of its own`)}`,
  'nobody left': () =>
    `leave takes away so many drivers that nobody is left to race against. ${nearest('one in which two of them stay')}`,
  'too many lanes': (p: { lanes: number; nearest: number }) =>
    `${p.lanes} lanes are more than a draw takes. ${nearest(`${p.nearest} lanes`)}`,
  'not a lane': (p: { key: string; lane: number; lanes: number }) =>
    `${p.key} names lane ${p.lane}, which the track does not have. ${nearest(`${p.key} with lanes from 1 to ${p.lanes} only`)}`,
  'no lane left': (p: { lane: number }) =>
    `lanesOut leaves no lane to race on. ${nearest(`one on lane ${p.lane} alone`)}`,
  incomplete: (p: { nearest: readonly number[] }) =>
    `laneOrder must name every lane in use exactly once. ${nearest(`the lane order ${p.nearest.join(',')}`)}`,
  cars: (p: { cars: number; nearest: number }) =>
    `There cannot be ${count(p.cars, 'car')} in a heat (carsPerHeat). ${nearest(`${count(p.nearest, 'car')} in a heat`)}`,
  'unknown driver': (p: { key: string; name: string }) =>
    `${p.key} names "${p.name}", who is not among the drivers. ${nearest(`the same without "${p.name}" in ${p.key}`)}`,
  'already there': (p: { name: string }) =>
    `join names "${p.name}", who is among the drivers already. ${nearest(`the same without "${p.name}" in join`)}`,
  'joins twice': (p: { name: string }) => `join names "${p.name}" twice. ${nearest('each late driver once')}`,
  seats: (p: { key: string; heat: number; seats: number; lanes: number }) =>
    `${heatOf(p.key, p.heat)} has ${count(p.seats, 'seat')}, but the track has ${count(p.lanes, 'lane')}. ${nearest(
      `that heat with ${count(p.lanes, 'seat')}, null where a lane was empty`,
    )}`,
  'twice in a heat': (p: { key: string; heat: number; name: string }) =>
    `${heatOf(p.key, p.heat)} seats "${p.name}" twice. ${nearest('that driver on one lane of the heat, null on the other')}`,
  'stranger in a heat': (p: { key: string; heat: number; name: string }) =>
    `${heatOf(p.key, p.heat)} seats "${p.name}", who is not among the drivers. ${nearest(
      `"${p.name}" listed in drivers, and in leave too if gone`,
    )}`,
  'too many groups': (p: { groups: number; nearest: number }) =>
    `${p.groups} groups would leave somebody alone in a group. ${nearest(count(p.nearest, 'group'))}`,
  'small group': (p: { group: number }) =>
    `Group ${p.group} has nobody to race against each other. ${nearest('groups of at least two drivers')}`,
  'in no group': (p: { name: string }) => `"${p.name}" is in no group. ${nearest(`"${p.name}" in one of the groups`)}`,
  'in two groups': (p: { name: string }) =>
    `"${p.name}" is in the groups twice. ${nearest(`"${p.name}" in one group only`)}`,
  'stranger in a group': (p: { name: string }) =>
    `The groups name "${p.name}", who is not among the drivers. ${nearest(`the groups without "${p.name}"`)}`,
  'pairs lanes': (p: { lanes: number }) =>
    `Pairs race on two lanes, but ${p.lanes === 1 ? '1 lane is' : `${p.lanes} lanes are`} in use. ${nearest(
      p.lanes === 1 ? 'a track with two lanes' : 'the same with all lanes but two in lanesOut',
    )}`,
  'pairs cars': () => `A pair is two cars in a heat. ${nearest('2 cars in a heat')}`,
  'pairs heats': (p: { heats: number; single: number; double: number }) =>
    `Pairs cannot meet in ${count(p.heats, 'heat')}. ${nearest(
      `${count(p.single, 'heat')} (everyone meets everyone once) or ${p.double} (once on each lane)`,
    )}`,
  'too few heats': (p: { heats: number; nearest: number }) =>
    `In ${count(p.heats, 'heat')} not everybody can run. ${nearest(count(p.nearest, 'heat'))}`,
  'too many heats': (p: { heats: number; nearest: number }) =>
    `${count(p.heats, 'heat')} are more than there are runs to fill them. ${nearest(count(p.nearest, 'heat'))}`,
  'more runs than heats': (p: { runs: number; heats: number; nearest: number }) =>
    `Nobody can run ${p.runs} times in ${count(p.heats, 'heat')}. ${nearest(
      `${count(p.heats, 'heat')} with runs shared out evenly (without runsPerLane), or ${count(p.nearest, 'heat')}`,
    )}`,
  'joins with too many runs': (p: { name: string; runs: number; heats: number; nearest: number }) =>
    `"${p.name}" cannot join for ${p.runs} runs in ${count(p.heats, 'heat')}. ${nearest(
      p.nearest < 1 ? `${count(p.runs, 'heat')}` : `${count(p.nearest, 'run')} on every lane for "${p.name}"`,
    )}`,
};

export const draw = {
  usage: `Usage: lanewise draw --drivers 13 --lanes 4 [options]
       lanewise draw --in FILE [options]          (- reads standard input)

Draws who races on which lane in which heat, and says how fair that is.
Everybody gets the same runs on every lane, in the fewest heats possible.

What to draw
  --drivers N or NAMES   how many, or names with commas: Ann,Bob
  --lanes N              lanes of the track
  --runs-per-lane N      runs of every driver on every lane (1)
  --heats N              exactly so many heats, runs shared out evenly; in a
                         repair: so many still to run
  --cars-per-heat N      most cars in a heat (as many as lanes)
  --lanes-out LANES      lanes not used tonight: 2,5
  --marshals N           marshals wanted in each heat (0)
  --exempt DRIVERS       drivers who never stand marshal
  --format pairs         two lanes: everyone meets everyone, once on each lane
  --groups N or LISTS    groups that race one after the other: 3, or lists:
                         [["Ann","Bob"],["Cid","Dot"]]

What counts more
  --preset opponents     everybody meets everybody equally often (the default)
           rest          nobody races in two heats running
           balanced      both somewhat
           step          everybody moves one lane on after each heat
           equals        drivers, named fastest first, race in groups of like
                         pace, the fastest group last
  --lane-order LANES     order of stepping (odd lanes up, then even lanes down)
  --seed N               another seed is another draw, the same the same (1)
  --budget-ms N          how long to search, about (1000)
  --steps N              where the search was stopped by hand, in units of work

Repair, when heats were run, somebody leaves or comes, or a lane breaks
  --done HEATS           heats that were run, a list with one seat a lane each:
                         [[1,2,3],[4,null,2]] or [["Ann",null,"Bob"]]
  --published HEATS      the next heats as announced: kept if possible
  --leave DRIVERS        who races no more
  --join DRIVERS         who comes late: Eve, or with runs on every lane
                         [{"driver":"Eve","runsPerLane":1}]
  --duties DUTIES        marshal duties so far: [{"driver":"Eve","duties":2}]

  --in FILE              a JSON object with the same keys (runsPerLane, …);
                         options replace its values
  --json                 one JSON document instead of text
  --help                 this text
`,
  noFile: (file: string) => `There is no file ${file}.`,
  cannotRead: (file: string, reason: string) => `Cannot read ${file}: ${reason}.`,
  notJson: (file: string, reason: string) => `${file} does not hold a JSON document: ${reason}.`,
  standardInput: 'Standard input',
  wrongUse: (reason: string) => `${reason}. "lanewise draw --help" lists the options.`,
  noValue: (option: string) => `--${option} needs a value. "lanewise draw --help" lists the options.`,
  unknownOption: (option: string, like: string | null) =>
    `There is no option --${option}; “lanewise draw --help” lists them all. ${nearest(like === null ? 'the same without it' : `the same with --${like}, if that is meant`)}`,
  progress: (percent: number) => `Searching: ${percent} %`,

  notAnObject: 'The request must be one JSON object with at least drivers and lanes.',
  unknownKey: (key: string, like: string | null) =>
    `There is no key "${key}" in a draw request. ${nearest(like === null ? 'the same without it' : `the same with ${like}, if that is meant`)}`,
  wrongValue: (key: string, possible: number | null) =>
    `${key} must be ${mustBe[key]}.${possible === null ? '' : ` ${nearest(`${key} ${possible}`)}`}`,
  missing: (key: string) => `${key} is missing: it must be ${mustBe[key]}.`,
  problems,

  heatColumn: 'Heat',
  laneColumn: (lane: number) => `Lane ${lane}`,
  shortLaneColumn: (lane: number) => `L${lane}`,
  marshalsColumn: 'Marshals',
  emptySeat: '-',
  numbersMean: 'Drivers:',
  marshalsOf: (heat: number) => `Marshals of heat ${heat}:`,
  group: (number: number) => `Group ${number}:`,
  withinGroups: 'All but marshal duty is counted within each group.',

  moves: (lanes: number[], sitsOut: boolean) =>
    `Moves: lane ${lanes.join(' → ')}${sitsOut ? ' → sit out' : ''}, then again.`,
  /** @param asked whether so many heats were asked for, whatever runs need */
  heats: (heats: number, asked: boolean) => `${count(heats, 'heat')}, ${asked ? 'as asked' : 'the fewest possible'}.`,
  heatsLeft: (done: number, heats: number, fewest: number) =>
    heats === 0
      ? `After ${count(done, 'heat')} everybody has had all runs: nothing is left to run.`
      : `After ${count(done, 'heat')} there ${heats === 1 ? 'is' : 'are'} ${heats} left, ${
          heats === fewest ? 'the fewest possible' : `as asked; ${fewest} would hold all the runs still owed`
        }.`,
  runsLeft: 'Runs left:',
  runsOf: (driver: string | number, runs: number) => `${driver}: ${runs}`,
  fewerCars: (cars: number) =>
    `Too few drivers sit out. With ${count(cars, 'car')} in a heat nobody would be missing, in more heats.`,
};
