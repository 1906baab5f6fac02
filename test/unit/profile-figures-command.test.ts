import { mkdtemp, rm, writeFile } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { Readable } from 'node:stream';
import { afterAll, afterEach, beforeAll, describe, expect, it, vi } from 'vitest';
import { sharedText } from '../../server/profiles/exchange/shared-file.ts';
import { defaultTuning, type Profile } from '../../server/profiles/model/profile.ts';
import { runCommand } from '../helpers/command.ts';

let folder = '';
beforeAll(async () => {
  folder = await mkdtemp(join(tmpdir(), 'profile-'));
});
afterAll(() => rm(folder, { recursive: true }));
afterEach(() => vi.restoreAllMocks());

const base: Profile = { name: 'Base', ...defaultTuning };

async function file(name: string, content: unknown): Promise<string> {
  const path = join(folder, name);
  await writeFile(path, typeof content === 'string' ? content : JSON.stringify(content));
  return path;
}

/** Runs a word of `lanewise profile` that is expected to answer. */
async function answer(...args: string[]): Promise<string> {
  const { code, out, err } = await runCommand('profile', ...args);
  expect({ code, err }).toEqual({ code: 0, err: '' });
  return out;
}
const document = async (...args: string[]) => JSON.parse(await answer(...args, '--json'));

/** Runs one that is expected to refuse: one sentence, nothing on standard output. */
async function refusal(...args: string[]) {
  const { code, out, err } = await runCommand('profile', ...args);
  expect(out).toBe('');
  expect(err.trimEnd()).not.toMatch(/\n/);
  return { code, err: err.trimEnd() };
}

describe('lanewise profile curve', () => {
  it('gives duty and slope at 201 positions', async () => {
    const rows = await document('curve', await file('bare.json', base));
    expect(rows).toHaveLength(201);
    expect(rows.slice(0, 5)).toEqual([0, 0.005, 0.01, 0.015, 0.02].map((x) => ({ x, duty: 0, slope: 0 })));
    // Minimum drive 8 %, then straight: (0.03 - 0.02)/0.98 of the other 92 %.
    expect(rows[6]).toEqual({
      x: 0.03,
      duty: expect.closeTo(0.08 + (0.92 * 0.01) / 0.98),
      slope: expect.closeTo(0.92 / 0.98),
    });
    expect(rows[200]).toMatchObject({ x: 1, duty: 1 });
  });

  it('gives the positions asked for, of a shared profile', async () => {
    const limited = { ...base, maxDrive: 800, curve: { kind: 'shape', shape: 100 } } as const;
    const shared = await file('shared.json', sharedText(limited));
    const rows = await document('curve', shared, '--at', '0.51, 1,0.02,.5e-1');
    expect(rows.map(({ x }: { x: number }) => x)).toEqual([0.51, 1, 0.02, 0.05]);
    // Half of the travel after the release band: 8/9 of the way from 8 to 80 %.
    expect(rows[0].duty).toBeCloseTo(0.08 + (0.72 * 8) / 9, 12);
    expect([rows[1].duty, rows[2].duty]).toEqual([0.8, 0]);
  });

  it('is a table for people', async () => {
    const text = await answer('curve', await file('bare.json', base));
    expect(text.split('\n')).toHaveLength(23);
    expect(text).toMatch(/trigger %.+duty %.+added\n {6}0\.0 {6}0\.0 {4}0\.00\n/);
    expect(text).toMatch(/\n {4}100\.0 {4}100\.0 {4}0\.94\n$/);
    expect(await answer('curve', await file('bare.json', base), '--at', '0.5')).toMatch(
      /^.*\n {5}50\.0 {5}53\.1 {4}0\.94\n$/,
    );
  });

  it('reads standard input', async () => {
    vi.spyOn(process, 'stdin', 'get').mockReturnValue(
      Readable.from([Buffer.from(JSON.stringify(base))]) as typeof process.stdin,
    );
    expect(await document('curve', '-')).toHaveLength(201);
  });

  it.each([[''], ['0.5,'], ['1.01'], ['-0.1'], ['half'], ['0x1'], ['NaN'], [Array(1001).fill('0').join(',')]])(
    'refuses positions: %.20s',
    async (list) => {
      const { code, err } = await refusal('curve', await file('bare.json', base), `--at=${list}`);
      expect({ code, err }).toEqual({
        code: 2,
        err: expect.stringMatching(/^"--at" takes up to 1000 positions from 0 to 1/),
      });
    },
  );

  it('refuses what is no profile, with the class of what is wrong', async () => {
    expect(await refusal('curve', join(folder, 'nowhere.json'))).toMatchObject({ code: 1 });
    expect(await refusal('curve', await file('bad.json', { ...base, minDrive: 601 }))).toEqual({
      code: 1,
      err: expect.stringMatching(/^RANGE: .*minimum drive/),
    });
    expect((await refusal('curve', await file('bad.json', '{'))).err).toMatch(/^NOT_JSON: /);
    expect((await refusal('curve')).code).toBe(2);
    expect((await refusal('curve', 'a', 'b')).code).toBe(2);
    expect((await refusal('curve', 'a', '--every')).code).toBe(2);
  });
});

describe('lanewise profile trace', () => {
  const press = [
    [0, 0],
    [100, 0],
    [101, 1],
    [800, 1],
    [1800, 0],
  ];
  const profile = { ...base, minDrive: 100, maxDrive: 800, rampUpMs: 400 };

  it('gives a row a millisecond, ramp and brake included', async () => {
    const drag = { strength: 400, zoneFrom: 100, zoneTo: 300, closingOnly: true };
    const rows = await document('trace', await file('trace.json', { profile: { ...profile, drag }, points: press }));
    expect(rows).toHaveLength(1801);
    expect(rows[0]).toEqual({ ms: 0, x: 0, closing: false, duty: 0, offShort: 1 });
    expect(rows[101]).toMatchObject({ ms: 101, x: 1, closing: false, duty: expect.closeTo(0.1 + 1 / 400) });
    // 0.28 s after the press.
    expect(rows[379].duty).toBeLessThan(0.799);
    expect(rows[380].duty).toBeCloseTo(0.8, 9);
    const braking = rows.filter((row: { offShort: number }) => row.offShort === 0.4);
    expect([braking[0].x, braking.at(-1).x, braking.length]).toEqual([0.3, 0.1, 201]);
    expect(rows[1800]).toEqual({ ms: 1800, x: 0, closing: true, duty: 0, offShort: 1 });
  });

  it('takes a shared profile, and is a table for people', async () => {
    const shared = JSON.parse(sharedText(profile));
    const text = await answer(
      'trace',
      await file('trace.json', {
        profile: shared,
        points: [
          [0, 1],
          [2, 0.9],
        ],
      }),
    );
    expect(text.split('\n')).toHaveLength(5);
    expect(text).toMatch(/\n {7}0 {6}100\.0 {5}10\.0 {8}0\.0\n/);
    expect(text).toMatch(/ {2}closing\n$/);
  });

  it.each<[string, unknown]>([
    ['no points', undefined],
    ['an empty list', []],
    ['one point', [[0, 0]]],
    [
      'a position beyond 1',
      [
        [0, 0],
        [10, 1.1],
      ],
    ],
    [
      'a triple',
      [
        [0, 0, 0],
        [10, 1, 0],
      ],
    ],
    [
      'times that fall',
      [
        [10, 0],
        [0, 1],
      ],
    ],
    [
      'more than a minute',
      [
        [0, 0],
        [60_001, 1],
      ],
    ],
    [
      'text',
      [
        ['0', 0],
        [10, 1],
      ],
    ],
    ['too many', Array.from({ length: 1001 }, (_, ms) => [ms, 0])],
  ])('refuses %s', async (_what, points) => {
    const { code, err } = await refusal('trace', await file('trace.json', { profile, points }), '--json');
    expect({ code, err }).toEqual({ code: 1, err: expect.stringMatching(/^"points" are 2 to 1000 pairs/) });
  });

  it('refuses a bad profile, a list, and what is no JSON', async () => {
    const traced = (content: unknown) => file('trace.json', content).then((path) => refusal('trace', path));
    expect((await traced({ profile: { ...profile, pwmHz: 10 }, points: press })).err).toMatch(/^RANGE: .*switching/);
    expect((await traced({ points: press })).code).toBe(1);
    expect((await traced([])).err).toMatch(/holds no trace/);
    expect((await traced('{')).err).toMatch(/holds no JSON/);
    expect((await refusal('trace')).code).toBe(2);
  });
});

describe('lanewise profile compare', () => {
  it('gives distance, groups and words', async () => {
    const from = await file('a.json', base);
    const to = await file('b.json', sharedText({ ...base, rampUpMs: 60, brakeFull: 800 }));
    expect(await document('compare', from, to)).toEqual({
      distance: 5,
      groups: { drive: 0, launch: 0, ramp: 3, brake: 4, partBrake: 0, pwm: 0, decay: 0, limit: 0 },
      words: ['Brakes less at full release: 100 % to 80 %.', 'Full power comes later: 0.06 s instead of at once.'],
    });
    const back = await document('compare', to, from);
    expect(back.distance).toBe(5);
    expect(back.words).toContain('Brakes more at full release: 80 % to 100 %.');
  });

  it('says when hardly anything is felt, and prints figures for people', async () => {
    const same = await file('a.json', base);
    const renamed = await file('b.json', { ...base, name: 'Other', notes: 'the same all the same' });
    expect(await document('compare', same, renamed)).toMatchObject({
      distance: 0,
      words: ['You will hardly feel a difference.'],
    });
    const text = await answer('compare', same, await file('b.json', { ...base, minDrive: 110 }));
    expect(text).toMatch(/^Leaves rest harder: 8 % to 11 %\.\n\n/);
    expect(text).toMatch(/\n {2}Leaving rest +1\.5\n/);
    expect(text).toMatch(/\n {2}All together +1\.\d\n$/);
  });

  it('refuses one file, three, and standard input twice', async () => {
    const a = await file('a.json', base);
    for (const files of [[], [a], [a, a, a], ['-', '-']]) expect((await refusal('compare', ...files)).code).toBe(2);
    const { code, err } = await refusal(
      'compare',
      a,
      await file('b.json', { ...base, rectify: 'sync', decay: 'fast' }),
    );
    expect({ code, err }).toEqual({ code: 1, err: expect.stringMatching(/^RANGE: Fast decay and full off-time/) });
  });
});

it.each(['curve', 'trace', 'compare'])('lanewise profile %s --help says what it takes', async (word) => {
  expect(await answer(word, '--help')).toMatch(new RegExp(`lanewise profile ${word} `));
});
