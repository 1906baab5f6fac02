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

describe('lanewise draw --json', () => {
  it('writes one document with heats, marshals, certificate, seed, engine and time', async () => {
    const { code, out, err } = await draw(
      '--drivers',
      '13',
      '--lanes',
      '4',
      '--marshals',
      '2',
      '--seed',
      '7',
      '--json',
    );
    expect({ code, err }).toEqual({ code: 0, err: '' });
    const answer = JSON.parse(out);
    expect(Object.keys(answer)).toEqual(['heats', 'marshals', 'fewestHeats', 'certificate', 'seed', 'engine', 'ms']);
    expect(answer).toMatchObject({ fewestHeats: 13, seed: 7 });
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
        verdict: expect.stringMatching(/^(proved best|compromise)$/),
        why: expect.any(String),
      });
    }
    expect(answer.certificate.opponents).toMatchObject({ min: 0, max: 3, bound: 78, verdict: 'compromise' });
  });

  it('takes every option of a first draw', async () => {
    const { out } = await draw(
      ...['--drivers', 'Ann, Bob,Cid,Dot', '--lanes', '5', '--lanes-out', '2', '--lane-order', '5,4,3,1'],
      ...['--runs-per-lane', '2', '--cars-per-heat', '2', '--marshals', '1', '--exempt', 'Ann', '--budget-ms', '0'],
      ...['--preset', 'step', '--format', 'lanes', '--groups', '1', '--json'],
    );
    const { heats, marshals } = JSON.parse(out);
    expect(heats).toHaveLength(16);
    expect(heats[0]).toEqual([null, null, null, 'Bob', 'Ann']);
    expect(heats.flat().filter((seat: string) => seat === 'Ann')).toHaveLength(8);
    expect(marshals.flat()).not.toContain('Ann');
  });

  it('reads a file and lets options replace its values', async () => {
    const path = await file({
      drivers: ['Ann', 'Bob', 'Cid'],
      lanes: 2,
      heats: null,
      done: [],
      leave: [],
      marshals: 1,
    });
    expect(JSON.parse((await draw('--in', path, '--json')).out).fewestHeats).toBe(3);
    const { out } = await draw('--in', path, '--runs-per-lane', '2', '--json');
    expect(JSON.parse(out).fewestHeats).toBe(6);
  });

  it('reads exempt numbers where drivers are a count', async () => {
    const { out } = await draw('--drivers', '5', '--lanes', '3', '--marshals', '1', '--exempt', '4,5', '--json');
    expect(new Set(JSON.parse(out).marshals.flat())).toEqual(new Set([1, 2, 3]));
  });
});

describe('lanewise draw as text', () => {
  it('shows heats by lanes and fairness in two sentences', async () => {
    const { code, out } = await draw('--drivers', 'Ann,Bob,Cid', '--lanes', '2', '--marshals', '1');
    expect(code).toBe(0);
    expect(out).toBe(`Heat  Lane 1  Lane 2  Marshals
1     Ann     Bob     Cid
2     Cid     Ann     Bob
3     Bob     Cid     Ann

Moves: lane 1 → 2 → sit out, then again.
Everybody runs every lane once in 3 heats, the fewest possible; nobody sits out
more than 1 heat in a row, and each stands marshal in 1 heat. Any two drivers
share 1 heat, and a driver races again in the very next heat twice.
`);
  });

  it.each([
    [60, 16, 9],
    [200, 16, 16],
    [12, 16, 1],
  ])('fits %i drivers on %i lanes with %i marshals into 80 columns', async (drivers, lanes, marshals) => {
    const names = Array.from({ length: drivers }, (_, i) => `Extraordinarily long nickname ${i + 1}`);
    const path = await file({ drivers: names, lanes, marshals });
    const { out } = await draw('--in', path);
    expect(Math.max(...out.split('\n').map((line) => line.length))).toBeLessThanOrEqual(80);
    for (const name of names) expect(out.replaceAll('\n', '  ')).toContain(name);
  });

  it('says how many marshals are missing', async () => {
    expect((await draw('--drivers', '5', '--lanes', '4', '--marshals', '3')).out).toContain(
      'up to 2 marshals are missing in a heat',
    );
  });

  it('takes one driver on one lane', async () => {
    expect((await draw('--drivers', '1', '--lanes', '1')).out).toContain('There is nobody to race against');
  });

  it('explains itself', async () => {
    const { code, out } = await draw('--help');
    expect(code).toBe(0);
    expect(out).toContain('--runs-per-lane');
    expect(Math.max(...out.split('\n').map((line) => line.length))).toBeLessThanOrEqual(80);
  });
});

describe('lanewise draw refuses with a plain sentence', () => {
  const five = ['--drivers', '5', '--lanes', '4'];
  it.each([
    [['--drivers', '5'], 'lanes is missing'],
    [['--drivers', '0', '--lanes', '4'], 'drivers must be a number from 1'],
    [['--drivers', 'Ann,Bob,Ann', '--lanes', '4'], 'The driver "Ann" is named twice.'],
    [[...five, '--lanes', '17'], 'lanes must be a whole number from 1 to 16.'],
    [[...five, '--runs-per-lane', '1.5'], 'runsPerLane must be a whole number'],
    [[...five, '--marshals', '-1'], '--marshals'],
    [[...five, '--lanes-out', '5'], 'lanesOut names lane 5'],
    [[...five, '--lanes-out', '1,2,3,4'], 'lanesOut leaves no lane to race on.'],
    [[...five, '--lane-order', '1,2,3,3'], 'laneOrder must name every lane in use exactly once.'],
    [[...five, '--exempt', 'Ann'], '"Ann" is exempt but not among the drivers.'],
    [[...five, '--preset', 'fastest'], 'preset must be one of'],
    [[...five, '--preset', 'opponents'], 'Only the preset step'],
    [[...five, '--format', 'pairs'], 'Only the format lanes'],
    [[...five, '--groups', '2'], 'Only one group'],
    [[...five, '--heats', '5'], 'the number of heats cannot be chosen'],
    [[...five, '--done', '[[1,2,3,4]]'], 'Heats already run'],
    [[...five, '--published', '[[1,2,3,4]]'], 'Heats already announced'],
    [[...five, '--leave', '2'], 'Drivers who leave'],
    [[...five, '--join', 'Eve'], 'Drivers who join late'],
    [[...five, '--fast'], '--fast'],
    [[...five, 'now'], 'now'],
  ])('%j', async (args, sentence) => {
    const { code, out, err } = await draw(...args, '--json');
    expect({ code, out }).toEqual({ code: 2, out: '' });
    expect(err).toContain(sentence);
  });

  it.each([
    [{ drivers: 5, lanes: 4, speed: 1 }, 'There is no key "speed"'],
    [{ drivers: 5, lanes: 4, join: [{ driver: 'Eve' }] }, 'Drivers who join late'],
    [{ drivers: ['Ann', 'B\u0007b'], lanes: 2 }, 'drivers must be a number from 1'],
    [{ drivers: 5, lanes: '4' }, 'lanes must be a whole number'],
    [[1, 2], 'one JSON object'],
    ['{"drivers":', 'does not hold a JSON document'],
  ])('file %j', async (content, sentence) => {
    const { code, out, err } = await draw('--in', await file(content));
    expect({ code, out }).toEqual({ code: 2, out: '' });
    expect(err).toContain(sentence);
  });

  it.each(['-5', '2.5', '0'])('takes --drivers=%s for a number, not for somebody of that name', async (drivers) => {
    const { code, out, err } = await draw(`--drivers=${drivers}`, '--lanes', '4');
    expect({ code, out }).toEqual({ code: 2, out: '' });
    expect(err).toContain('drivers must be');
  });

  it('exits 1 where the file cannot be read', async () => {
    expect(await draw('--in', join(folder, 'none.json'))).toMatchObject({ code: 1, out: '' });
  });
});
