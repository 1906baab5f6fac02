import { mkdtemp, rm, writeFile } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, afterEach, beforeAll, describe, expect, it, vi } from 'vitest';
import { run } from '../../server/cli/run.ts';

/** Runs `lanewise draw` and answers what it wrote. */
async function draw(...args: string[]) {
  const written = { out: '', err: '' };
  vi.spyOn(process.stdout, 'write').mockImplementation((chunk) => {
    written.out += chunk;
    return true;
  });
  vi.spyOn(process.stderr, 'write').mockImplementation((chunk) => {
    written.err += chunk;
    return true;
  });
  const code = await run(['draw', ...args]);
  vi.restoreAllMocks();
  return { code, ...written };
}

let folder = '';
beforeAll(async () => {
  folder = await mkdtemp(join(tmpdir(), 'draw-'));
});
afterAll(() => rm(folder, { recursive: true }));
afterEach(() => vi.restoreAllMocks());

async function file(content: unknown): Promise<string> {
  const path = join(folder, 'request.json');
  await writeFile(path, typeof content === 'string' ? content : JSON.stringify(content));
  return path;
}

/** Runs the command with `--json` and a short search, and reads its answer. */
async function answerTo(...args: string[]) {
  const { code, out, err } = await draw('--budget-ms', '20', ...args, '--json');
  expect({ code, err }).toEqual({ code: 0, err: '' });
  return JSON.parse(out);
}

type Heats = (string | number | null)[][];
const runsOf = (heats: Heats) => {
  const runs = new Map<string | number, number>();
  for (const seat of heats.flat()) if (seat !== null) runs.set(seat, (runs.get(seat) ?? 0) + 1);
  return runs;
};
const sizesOf = (heats: Heats) => heats.map((row) => row.filter((seat) => seat !== null).length);

describe('lanewise draw --json', () => {
  it('writes one document with heats, marshals, certificate, seed, engine and time', async () => {
    const answer = await answerTo('--drivers', '13', '--lanes', '4', '--marshals', '2', '--seed', '7');
    expect(Object.keys(answer)).toEqual(['heats', 'marshals', 'fewestHeats', 'certificate', 'seed', 'engine', 'ms']);
    expect(answer).toMatchObject({ fewestHeats: 13, seed: 7, engine: expect.stringMatching(/^rotation \d+$/) });
    expect(answer.heats).toHaveLength(13);
    expect(answer.heats.flat().sort((a: number, b: number) => a - b)).toEqual(
      Array.from({ length: 52 }, (_, i) => Math.floor(i / 4) + 1),
    );
    expect(answer.marshals.every((row: number[]) => row.length === 2)).toBe(true);
    expect(Object.keys(answer.certificate)).toEqual([
      'lanes',
      'opponents',
      'backToBack',
      'sitOut',
      'neighbours',
      'carryOver',
      'duty',
      'timeOfNight',
    ]);
    for (const criterion of Object.values(answer.certificate)) {
      expect(criterion).toMatchObject({
        bound: expect.any(Number),
        verdict: expect.stringMatching(/^(proved best|best known|compromise)$/),
        why: expect.any(String),
      });
    }
    expect(answer.certificate.lanes).toMatchObject({ spread: 0, bound: 0, verdict: 'proved best' });
  });

  it('draws for equal opponents unless asked otherwise', async () => {
    const seven = ['--drivers', '7', '--lanes', '3'];
    const { certificate } = await answerTo(...seven, '--budget-ms', '200');
    expect(certificate.opponents).toMatchObject({ min: 1, max: 1, sumSquares: 21, verdict: 'proved best' });
    const step = await answerTo(...seven, '--preset', 'step');
    expect(step.engine).toMatch(/^step/);
    expect(step.certificate.opponents.sumSquares).toBeGreaterThan(21);
  });

  it('takes every option of a first draw', async () => {
    const { heats, marshals } = await answerTo(
      ...['--drivers', 'Ann, Bob,Cid,Dot', '--lanes', '5', '--lanes-out', '2', '--lane-order', '5,4,3,1'],
      ...['--runs-per-lane', '2', '--cars-per-heat', '2', '--marshals', '1', '--exempt', 'Ann', '--budget-ms', '0'],
      ...['--preset', 'step', '--format', 'lanes', '--groups', '1'],
    );
    expect(heats).toHaveLength(16);
    expect(heats[0]).toEqual([null, null, null, 'Bob', 'Ann']);
    expect(runsOf(heats).get('Ann')).toBe(8);
    expect(marshals.flat()).not.toContain('Ann');
  });

  it.each(['opponents', 'rest', 'balanced', 'equals'])('leaves a lane out and caps the cars: %s', async (preset) => {
    const { heats, fewestHeats } = await answerTo(
      ...['--drivers', '9', '--lanes', '5', '--lanes-out', '3', '--cars-per-heat', '3', '--preset', preset],
      ...['--groups', '1'],
    );
    expect(fewestHeats).toBe(12);
    expect(new Set(sizesOf(heats))).toEqual(new Set([3]));
    expect(heats.every((row: Heats[number]) => row.length === 5 && row[2] === null)).toBe(true);
    expect(new Set(runsOf(heats).values())).toEqual(new Set([4]));
  });

  it('fills exactly the heats asked for, runs and lanes within one', async () => {
    const { heats, certificate } = await answerTo('--drivers', '11', '--lanes', '4', '--heats', '7');
    expect(heats).toHaveLength(7);
    expect(new Set(sizesOf(heats))).toEqual(new Set([4]));
    const runs = [...runsOf(heats).values()];
    expect(runs).toHaveLength(11);
    expect(Math.max(...runs) - Math.min(...runs)).toBe(1);
    expect(certificate.lanes.spread).toBe(1);
  });

  it('repeats itself', async () => {
    const given = ['--drivers', '10', '--lanes', '4', '--marshals', '2', '--preset', 'balanced', '--seed', '5'];
    const [first, second] = [await answerTo(...given), await answerTo(...given)];
    expect({ ...first, ms: 0 }).toEqual({ ...second, ms: 0 });
    expect((await answerTo(...given, '--seed', '6')).heats).not.toEqual(first.heats);
  });

  it('reads a file and lets options replace its values; empty values ask for nothing', async () => {
    const path = await file({
      drivers: ['Ann', 'Bob', 'Cid'],
      lanes: 2,
      heats: null,
      carsPerHeat: null,
      laneOrder: [],
      exempt: [],
      done: [],
      published: null,
      leave: [],
      join: [],
      lanesOut: [],
      groups: 1,
      marshals: 1,
    });
    expect((await answerTo('--in', path)).fewestHeats).toBe(3);
    expect((await answerTo('--in', path, '--runs-per-lane', '2')).fewestHeats).toBe(6);
  });

  it('takes numbers for drivers where they are a count', async () => {
    const { marshals } = await answerTo('--drivers', '5', '--lanes', '3', '--marshals', '1', '--exempt', '4,5');
    expect(new Set(marshals.flat())).toEqual(new Set([1, 2, 3]));
    const listed = await answerTo('--drivers', '[4,"Ann",9]', '--lanes', '2');
    expect(new Set(listed.heats.flat())).toEqual(new Set([4, 'Ann', 9]));
  });
});

describe('lanewise draw in pairs and groups', () => {
  it('lets everyone meet everyone on both lanes, a lane out of use in between', async () => {
    const { heats, fewestHeats, engine } = await answerTo(
      ...['--drivers', '5', '--lanes', '3', '--lanes-out', '2', '--format', 'pairs'],
    );
    const ordered = heats.map(([a, , b]: number[]) => `${a}-${b}`);
    expect(new Set(ordered).size).toBe(20);
    expect({ heats: ordered.length, fewestHeats, engine }).toEqual({ heats: 20, fewestHeats: 20, engine: 'pairs 1' });
  });

  it('draws the single leg when asked for so many heats', async () => {
    const { heats } = await answerTo('--drivers', '6', '--lanes', '2', '--format', 'pairs', '--heats', '15');
    expect(heats.slice(0, 4)).toEqual([
      [1, 6],
      [2, 5],
      [3, 4],
      [6, 4],
    ]);
    expect(heats).toHaveLength(15);
  });

  it('draws the single leg in every group', async () => {
    const five = ['--drivers', '5', '--lanes', '2', '--format', 'pairs', '--groups', '2'];
    expect((await answerTo(...five, '--heats', '4')).heats).toHaveLength(4);
    expect((await answerTo(...five)).heats).toHaveLength(8);
  });

  it('races groups one after the other and says who is in which', async () => {
    const { heats, groups, certificate, fewestHeats } = await answerTo(
      ...['--drivers', '11', '--lanes', '3', '--groups', '2', '--marshals', '4'],
    );
    expect(groups.map((group: number[]) => group.length)).toEqual([5, 6]);
    expect(fewestHeats).toBe(11);
    expect(new Set(heats.slice(0, 5).flat())).toEqual(new Set(groups[0]));
    expect(new Set(heats.slice(5).flat())).toEqual(new Set(groups[1]));
    // Three sit out in a heat of the first group; the fourth marshal is of the other.
    expect(certificate.duty).toMatchObject({ shortage: 0, spread: 0 });
  });

  it('takes lists of groups as they are', async () => {
    const { groups, heats } = await answerTo(
      ...['--drivers', 'Ann,Bob,Cid,Dot', '--lanes', '2', '--groups', '[["Dot","Ann"],["Bob","Cid"]]'],
    );
    expect(groups).toEqual([
      ['Dot', 'Ann'],
      ['Bob', 'Cid'],
    ]);
    expect(new Set(heats[0])).toEqual(new Set(['Dot', 'Ann']));
  });

  it('puts equals together, the fastest last', async () => {
    const { groups } = await answerTo('--drivers', '10', '--lanes', '3', '--preset', 'equals');
    expect(groups).toEqual([
      [7, 8, 9, 10],
      [4, 5, 6],
      [1, 2, 3],
    ]);
  });
});

describe('lanewise draw repairs a night', () => {
  const done = '[[1,2,3],[4,5,1]]';
  const night = ['--drivers', '6', '--lanes', '3', '--done', done];

  it('gives everybody the lanes they have not had, in the fewest heats', async () => {
    const { heats, fewestHeats } = await answerTo(...night);
    expect(heats).toHaveLength(fewestHeats);
    // Driver 6 still needs three heats; two drivers have had lane 1, so four need it still.
    expect(fewestHeats).toBe(4);
    for (let lane = 0; lane < 3; lane++) {
      const on = [...JSON.parse(done), ...heats].map((row: number[]) => row[lane]).filter((seat) => seat !== null);
      expect(on.sort()).toEqual([1, 2, 3, 4, 5, 6]);
    }
  });

  it('leaves out who went home, takes in who came late, and does without a broken lane', async () => {
    const { heats } = await answerTo(...night, '--leave', '2', '--join', '[{"driver":"Eve","runsPerLane":1}]');
    const runs = runsOf(heats);
    expect([...runs].sort()).toEqual([
      [1, 1],
      [3, 2],
      [4, 2],
      [5, 2],
      [6, 3],
      ['Eve', 3],
    ]);
    const broken = await answerTo(...night, '--lanes-out', '3', '--join', '7');
    expect(broken.heats.every((row: Heats[number]) => row[2] === null)).toBe(true);
    expect(runsOf(broken.heats).get(7)).toBe(2);
  });

  it('counts what a late driver has run since', async () => {
    const late = ['--join', '[{"driver":7,"runsPerLane":2}]', '--runs-per-lane', '3'];
    const { heats } = await answerTo('--drivers', '6', '--lanes', '3', '--done', '[[7,1,2],[3,7,4]]', ...late);
    expect(runsOf(heats).get(7)).toBe(4);
    expect(runsOf(heats).get(1)).toBe(8);
  });

  it('needs one heat more or fewer when asked so', async () => {
    expect((await answerTo(...night, '--heats', '5')).heats).toHaveLength(5);
    const three = await answerTo(...night, '--heats', '3');
    expect(three).toMatchObject({ fewestHeats: 4 });
    expect(three.heats).toHaveLength(3);
  });

  it('keeps the announced heat, unless it has more cars than a heat may have now', async () => {
    const announced = ['--published', '[[5,6,2]]'];
    expect((await answerTo(...night, ...announced)).heats[0]).toEqual([5, 6, 2]);
    const { heats } = await answerTo(...night, ...announced, '--cars-per-heat', '2');
    expect(new Set(sizesOf(heats))).toEqual(new Set([2]));
  });

  it('has nothing left to draw when everything was run', async () => {
    const all = ['--drivers', '2', '--lanes', '2', '--done', '[[1,2],[2,1]]'];
    expect(await answerTo(...all)).toMatchObject({ heats: [], marshals: [], fewestHeats: 0 });
    expect((await draw(...all)).out).toContain('nothing is left to run');
  });

  it('goes on from the queue by a search, and says so', async () => {
    expect((await answerTo(...night, '--preset', 'step')).engine).toMatch(/^rotation/);
  });

  it('pairs meet who they have not met, each lane once', async () => {
    const { heats } = await answerTo(
      ...[
        '--drivers',
        '4',
        '--lanes',
        '2',
        '--format',
        'pairs',
        '--done',
        '[[1,4],[2,3]]',
        '--leave',
        '3',
        '--join',
        '5',
      ],
    );
    const racing = [1, 2, 4, 5];
    const wanted = racing.flatMap((a) => racing.filter((b) => b !== a).map((b) => `${a}-${b}`));
    expect(heats.map((row: number[]) => row.join('-')).sort()).toEqual(wanted.filter((pair) => pair !== '1-4').sort());
  });

  it('counts somebody who left before the first heat as never there', async () => {
    const { heats } = await answerTo(
      '--drivers',
      '5',
      '--lanes',
      '3',
      '--leave',
      '5',
      '--join',
      '6',
      '--preset',
      'step',
    );
    expect(new Set(heats.flat())).toEqual(new Set([1, 2, 3, 4, 6]));
  });
});

describe('lanewise draw as text', () => {
  it('shows heats by lanes, how many, and fairness in sentences', async () => {
    const { code, out } = await draw(
      ...['--drivers', 'Ann,Bob,Cid', '--lanes', '2', '--marshals', '1', '--preset', 'step'],
    );
    expect(code).toBe(0);
    expect(out).toContain(`Heat  Lane 1  Lane 2  Marshals
1     Ann     Bob     Cid
2     Cid     Ann     Bob
3     Bob     Cid     Ann

Moves: lane 1 → 2 → sit out, then again.
3 heats, the fewest possible.
`);
    expect(out).toContain('Everybody runs every lane equally often.');
    expect(out).toContain('Everybody meets everybody exactly once.');
  });

  it('numbers heats through the night and says what is left', async () => {
    const { out } = await draw('--drivers', 'Ann,Bob,Cid', '--lanes', '2', '--done', '[["Ann","Bob"]]');
    expect(out).toMatch(/^2 {5}\S/m);
    expect(out).toContain('After 1 heat there are 2 left, the fewest possible.\nRuns left: Ann: 1, Bob: 1, Cid: 2\n');
  });

  it('lists groups', async () => {
    const { out } = await draw('--drivers', '6', '--lanes', '2', '--preset', 'equals', '--budget-ms', '1');
    expect(out).toContain('Group 1: 5, 6\nGroup 2: 3, 4\nGroup 3: 1, 2\n');
  });

  it.each([
    [60, 16, 9],
    [200, 16, 16],
    [12, 16, 1],
  ])('fits %i drivers on %i lanes with %i marshals into 80 columns', async (drivers, lanes, marshals) => {
    const names = Array.from({ length: drivers }, (_, i) => `Extraordinarily long nickname ${i + 1}`);
    const path = await file({ drivers: names, lanes, marshals, preset: 'step' });
    const { out } = await draw('--in', path);
    expect(Math.max(...out.split('\n').map((line) => line.length))).toBeLessThanOrEqual(80);
    for (const name of names) expect(out.replaceAll('\n', '  ')).toContain(name);
  });

  it('says in which heats marshals are missing, and how many cars would free them', async () => {
    const { out } = await draw('--drivers', '5', '--lanes', '4', '--marshals', '3', '--preset', 'step');
    expect(out.replaceAll('\n', ' ')).toContain('In every heat two marshal posts stay empty.');
    expect(out.replaceAll('\n', ' ')).toContain('With 2 cars in a heat nobody would be missing');
    const fewer = await answerTo('--drivers', '5', '--lanes', '4', '--marshals', '3', '--cars-per-heat', '2');
    expect(fewer.certificate.duty.shortage).toBe(0);
  });

  it('explains itself', async () => {
    const { code, out } = await draw('--help');
    expect(code).toBe(0);
    for (const option of ['--runs-per-lane', '--lane-order', '--published', '--join']) expect(out).toContain(option);
    expect(Math.max(...out.split('\n').map((line) => line.length))).toBeLessThanOrEqual(80);
  });
});

describe('lanewise draw refuses with what is wrong and the nearest possible draw', () => {
  const five = ['--drivers', '5', '--lanes', '4'];
  const pairs = ['--drivers', '4', '--lanes', '2', '--format', 'pairs'];
  it.each([
    [['--drivers', '5'], 'lanes is missing', ''],
    [['--drivers', '0', '--lanes', '4'], 'There is no driver', '2 drivers'],
    [['--drivers', '1', '--lanes', '4'], 'nobody to race against', '2 drivers'],
    [['--drivers', '1000', '--lanes', '4'], '1000 drivers are more', 'groups of 200 drivers'],
    [['--drivers', 'Ann,Bob,Ann', '--lanes', '4'], '"Ann" is entered twice', 'each of them once, 2 drivers'],
    [[...five, '--lanes', '17'], '17 lanes are more', '16 lanes'],
    [[...five, '--lanes', '0'], 'lanes must be a whole number from 1 to 16.', 'lanes 1.'],
    [[...five, '--seed', '4294967296'], 'seed must be a whole number', 'seed 4294967295.'],
    [[...five, '--runs-per-lane', '1.5'], 'runsPerLane must be a whole number', ''],
    [[...five, '--marshals', '-1'], 'marshals must be a whole number from 0 to 16.', 'marshals 0.'],
    [[...five, '--marshals'], '--marshals needs a value. ', ''],
    [
      [...five, '--duties', '[{"driver":"Zed","duties":2}]'],
      'duties names "Zed", who is not',
      'without "Zed" in duties',
    ],
    [[...five, '--lanes-out', '5'], 'lanesOut names lane 5', 'lanes from 1 to 4'],
    [[...five, '--lanes-out', '1,2,3,4'], 'lanesOut leaves no lane to race on.', 'lane 4 alone'],
    [[...five, '--lane-order', '1,2,3,3'], 'laneOrder must name every lane in use exactly once.', '1,2,3,4'],
    [[...five, '--cars-per-heat', '5'], 'cannot be 5 cars in a heat', '4 cars in a heat'],
    [[...five, '--cars-per-heat', '0'], 'cannot be 0 cars in a heat', '1 car in a heat'],
    [[...five, '--exempt', 'Ann'], 'exempt names "Ann", who is not among the drivers', 'without "Ann"'],
    [[...five, '--preset', 'fastest'], 'preset must be one of', ''],
    [[...five, '--heats', '0'], 'In 0 heats not everybody can run.', '2 heats'],
    [[...five, '--heats', '1'], 'In 1 heat not everybody can run.', '2 heats'],
    [[...five, '--heats', '500'], '500 heats are more than', '100 heats'],
    [[...five, '--heats', '6', '--runs-per-lane', '2'], 'Nobody can run 8 times in 6 heats.', 'or 10 heats'],
    [[...five, '--done', '[[1,2,3]]'], 'Heat 1 of done has 3 seats, but the track has 4 lanes', '4 seats'],
    [[...five, '--done', '[[1,2,3,1]]'], 'Heat 1 of done seats "1" twice', 'one lane of the heat'],
    [[...five, '--published', '[[1,2,3,9]]'], 'Heat 1 of published seats "9", who is not', 'listed in drivers'],
    [[...five, '--done', 'yesterday'], 'done must be a list of heats', ''],
    [[...five, '--leave', '7'], 'leave names "7", who is not', 'without "7" in leave'],
    [[...five, '--leave', '1,2,3,4'], 'nobody is left', 'two of them stay'],
    [[...five, '--join', '3'], 'join names "3", who is among the drivers already', 'without "3" in join'],
    [[...five, '--join', 'Eve,Eve'], 'join names "Eve" twice', 'each late driver once'],
    [
      [...five, '--done', '[[1,2,3,4]]', '--heats', '5', '--join', '[{"driver":"Eve","runsPerLane":2}]'],
      '"Eve" cannot join for 8 runs in 5 heats.',
      '1 run on every lane',
    ],
    [[...five, '--groups', '3'], '3 groups would leave somebody alone', '2 groups'],
    [[...five, '--groups', '[[1,2],[3,4]]'], '"5" is in no group.', '"5" in one of the groups'],
    [[...five, '--groups', '[[1,2,5],[3,4,5]]'], '"5" is in the groups twice.', 'in one group only'],
    [[...five, '--groups', '[[1,2,5],[3,4,6]]'], '"6", who is not among the drivers', 'without "6"'],
    [[...five, '--groups', '[[1,2,3,4],[5]]'], 'Group 2', 'at least two drivers'],
    [
      [...five, '--format', 'pairs'],
      'Pairs race on two lanes, but 4 lanes are in use.',
      'all lanes but two in lanesOut',
    ],
    [[...pairs, '--heats', '7'], 'Pairs cannot meet in 7 heats.', '6 heats (everyone meets everyone once) or 12'],
    [[...pairs, '--cars-per-heat', '1'], 'two cars in a heat', '2 cars in a heat'],
    [[...five, '--fast'], 'There is no option --fast;', 'without it'],
    [[...five, '--runs', '2'], 'There is no option --runs;', 'the same with --runs-per-lane'],
    [[...five, 'now'], "Unexpected argument 'now'. ", ''],
  ])('%j', async (args, sentence, nearest) => {
    const { code, out, err } = await draw(...args, '--json');
    expect({ code, out }).toEqual({ code: 2, out: '' });
    expect(err).toContain(sentence);
    expect(err.trim()).not.toContain('\n');
    if (nearest !== '') expect(err.slice(err.indexOf('Nearest possible draw: '))).toContain(nearest);
  });

  it.each([
    [
      { drivers: 5, lanes: 4, speed: 1 },
      'There is no key "speed" in a draw request. Nearest possible draw: the same without',
    ],
    [{ drivers: 5, lane: 4 }, 'lanes is missing'],
    [{ drivers: 5, lanes: 4, runs_per_lane: 2 }, 'Nearest possible draw: the same with runsPerLane, if that is meant.'],
    [{ drivers: 5, lanes: 4, join: [{ name: 'Eve' }] }, 'join must be a list of drivers'],
    [{ drivers: [], lanes: 2 }, 'There is no driver'],
    [{ drivers: ['Ann', 'B\u0007b'], lanes: 2 }, 'drivers must be a number from 2'],
    [{ drivers: 5, lanes: '4' }, 'lanes must be a whole number'],
    [[1, 2], 'one JSON object'],
    ['{"drivers":', 'does not hold a JSON document'],
  ])('file %j', async (content, sentence) => {
    const { code, out, err } = await draw('--in', await file(content));
    expect({ code, out }).toEqual({ code: 2, out: '' });
    expect(err).toContain(sentence);
  });

  it.each(['-5', '2.5'])('takes --drivers=%s for a number, not for somebody of that name', async (drivers) => {
    const { code, out, err } = await draw(`--drivers=${drivers}`, '--lanes', '4');
    expect({ code, out }).toEqual({ code: 2, out: '' });
    expect(err).toContain('drivers must be');
  });

  it('exits 1 where the file cannot be read', async () => {
    expect(await draw('--in', join(folder, 'none.json'))).toMatchObject({ code: 1, out: '' });
  });
});
