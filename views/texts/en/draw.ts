/** What each key may hold; completes "… must be". */
const mustBe: Record<string, string> = {
  drivers: 'a number from 1 to 200, or a list of 1 to 200 names of at most 40 characters',
  lanes: 'a whole number from 1 to 16',
  runsPerLane: 'a whole number from 1 to 20',
  heats: 'a whole number',
  carsPerHeat: 'a whole number from 1 to 16',
  marshals: 'a whole number from 0 to 16',
  preset: 'one of opponents, rest, balanced, step, equals',
  seed: 'a whole number from 0 to 4294967295',
  budgetMs: 'a whole number from 0 to 60000',
  format: 'lanes or pairs',
  groups: 'a whole number from 1 to 200',
  exempt: 'a list of drivers',
  lanesOut: 'a list of lane numbers from 1 to 16',
  laneOrder: 'a list of lane numbers from 1 to 16',
};

const notAvailable: Record<string, string> = {
  heats:
    'The step rotation gives everybody the same runs on every lane, so the number of heats cannot be chosen; leave out heats.',
  preset: 'Only the preset step can be drawn so far.',
  format: 'Only the format lanes can be drawn so far.',
  groups: 'Only one group can be drawn so far.',
  done: 'Heats already run (done) cannot be taken into account so far: only a first draw is possible.',
  published: 'Heats already announced (published) cannot be kept so far: only a first draw is possible.',
  leave: 'Drivers who leave (leave) cannot be taken out of a drawn rotation so far: only a first draw is possible.',
  join: 'Drivers who join late (join) cannot be added to a drawn rotation so far: only a first draw is possible.',
};

const count = (n: number, one: string, many: string) => `${n} ${n === 1 ? one : many}`;
const times = (n: number) => (n === 1 ? 'once' : n === 2 ? 'twice' : `${n} times`);
const range = (min: number, max: number) => (min === max ? `${min}` : `${min} to ${max}`);
const plural = (min: number, max: number, one: string, many: string) => `${range(min, max)} ${max === 1 ? one : many}`;

export const draw = {
  usage: `Usage: lanewise draw --drivers 13 --lanes 4 [options]
       lanewise draw --in FILE [options]          (- reads standard input)

Draws a rotation: after each heat everybody moves one lane on; whoever leaves
the last lane joins the end of the queue, whose first takes the first lane.

  --drivers N or NAMES   how many, or names with commas: Ann,Bob
  --lanes N              lanes of the track
  --runs-per-lane N      runs of every driver on every lane (1)
  --cars-per-heat N      most cars in a heat (as many as lanes)
  --lanes-out LANES      lanes not used tonight: 2,5
  --lane-order LANES     order of stepping (odd lanes up, then even lanes down)
  --marshals N           marshals wanted in each heat (0)
  --exempt DRIVERS       drivers who never stand marshal
  --seed N, --budget-ms N   for presets that search; step needs neither
  --preset step, --format lanes, --groups 1   the only choices so far
  --heats, --done, --published, --leave, --join   not possible so far
  --in FILE              a JSON object with the same keys (runsPerLane, …);
                         options replace its values
  --json                 one JSON document instead of text
  --help                 this text
`,
  noFile: (file: string) => `There is no file ${file}.`,
  cannotRead: (file: string, reason: string) => `Cannot read ${file}: ${reason}.`,
  notJson: (file: string) => `${file} does not hold a JSON document.`,
  standardInput: 'Standard input',
  wrongUse: (reason: string) => `${reason}\n"lanewise draw --help" lists the options.`,

  notAnObject: 'The request must be one JSON object with at least drivers and lanes.',
  unknownKey: (key: string) => `There is no key "${key}" in a draw request.`,
  wrongValue: (key: string) => `${key} must be ${mustBe[key]}.`,
  missing: (key: string) => `${key} is missing: it must be ${mustBe[key]}.`,
  notAvailable: (key: string) => notAvailable[key] as string,
  nameTwice: (name: string) => `The driver "${name}" is named twice.`,
  unknownDriver: (name: string) => `"${name}" is exempt but not among the drivers.`,
  notALane: (key: string, lane: number) => `${key} names lane ${lane}, which the track does not have.`,
  incompleteOrder: 'laneOrder must name every lane in use exactly once.',
  noLaneLeft: 'lanesOut leaves no lane to race on.',

  heatColumn: 'Heat',
  laneColumn: (lane: number) => `Lane ${lane}`,
  shortLaneColumn: (lane: number) => `L${lane}`,
  marshalsColumn: 'Marshals',
  emptySeat: '-',
  numbersMean: 'Drivers:',
  marshalsOf: (heat: number) => `Marshals of heat ${heat}:`,

  moves: (lanes: number[], sitsOut: boolean) =>
    `Moves: lane ${lanes.join(' → ')}${sitsOut ? ' → sit out' : ''}, then again.`,
  fairness: (f: {
    runsPerLane: number;
    heats: number;
    longestSitOut: number;
    duty: { min: number; max: number } | null;
    meetings: { min: number; max: number } | null;
    backToBack: number;
  }) => {
    const wait =
      f.longestSitOut === 0
        ? 'nobody sits out'
        : `nobody sits out more than ${count(f.longestSitOut, 'heat', 'heats')} in a row`;
    const duty = f.duty ? `, and each stands marshal in ${plural(f.duty.min, f.duty.max, 'heat', 'heats')}` : '';
    const meetings = f.meetings
      ? `Any two drivers share ${plural(f.meetings.min, f.meetings.max, 'heat', 'heats')}`
      : 'There is nobody to race against';
    const backToBack =
      f.backToBack === 0
        ? 'nobody races in two heats running'
        : `a driver races again in the very next heat ${times(f.backToBack)}`;
    return (
      `Everybody runs every lane ${times(f.runsPerLane)} in ${count(f.heats, 'heat', 'heats')}, the fewest possible; ` +
      `${wait}${duty}. ${meetings}, and ${backToBack}.`
    );
  },
  shortage: (missing: number) =>
    `Too few drivers sit out: up to ${count(missing, 'marshal is', 'marshals are')} missing in a heat. Fewer cars in a heat would free some.`,
};
