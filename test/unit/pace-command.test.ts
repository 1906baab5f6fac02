import { mkdtemp, rm, writeFile } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { Readable } from 'node:stream';
import { afterAll, afterEach, beforeAll, describe, expect, test, vi } from 'vitest';
import { randomFrom } from '../../server/shared/random.ts';
import { runCommand } from '../helpers/command.ts';

const head = 'night,heat,start_s,track,lane,driver,class,lap,time_s,flag';
/** Mean seconds of a clean lap. */
const club = new Map([
  ['Ann', 6],
  ['Bob', 6.3],
  ['Cid', 6.6],
  ['Dot', 7.2],
]);

interface Line {
  readonly night: number;
  readonly driver: string;
  readonly lane: number;
  readonly lap: number;
}

/** Laps of four drivers over five nights, each of whom drives all four lanes; lane 4 is slower by 2 %. */
function lapsCsv(timeOf: (line: Line, random: () => number) => string, flagOf: (line: Line) => string = () => '') {
  const { normal } = randomFrom(3);
  const lines = [head];
  for (let night = 1; night <= 5; night++) {
    for (let heat = 1; heat <= 4; heat++) {
      [...club.keys()].forEach((driver, d) => {
        const lane = ((d + heat) % 4) + 1;
        for (let lap = 1; lap <= 10; lap++) {
          const line = { night, driver, lane, lap };
          const time = timeOf(line, normal);
          lines.push(`${night},${heat},${240 * (heat - 1)},T,${lane},${driver},GT,${lap},${time},${flagOf(line)}`);
        }
      });
    }
  }
  return `${lines.join('\n')}\n`;
}
const usualTime = ({ driver, lane }: Line, random: () => number) =>
  ((club.get(driver) ?? 0) * (lane === 4 ? 1.02 : 1) * (1 + 0.02 * random())).toFixed(3);
const usual = lapsCsv(usualTime);
const driversCsv = 'driver,group\nAnn,adult\nBob,adult\nCid,adult\nDot,junior\n';

let folder = '';
beforeAll(async () => {
  folder = await mkdtemp(join(tmpdir(), 'pace-'));
});
afterAll(() => rm(folder, { recursive: true }));
afterEach(() => vi.restoreAllMocks());

async function file(name: string, content: unknown): Promise<string> {
  const path = join(folder, name);
  await writeFile(path, typeof content === 'string' ? content : JSON.stringify(content));
  return path;
}

interface Files {
  readonly laps?: string;
  readonly drivers?: string;
  readonly fields?: unknown;
}

async function pace({ laps = usual, drivers = driversCsv, fields }: Files, ...args: string[]) {
  const given = ['--laps', await file('laps.csv', laps), '--drivers', await file('drivers.csv', drivers)];
  if (fields !== undefined) given.push('--fields', await file('fields.json', fields));
  return runCommand('pace', ...given, ...args);
}

async function answerTo(files: Files, ...args: string[]) {
  const { code, out, err } = await pace(files, '--json', ...args);
  expect(code, err).toBe(0);
  return { ...JSON.parse(out), err };
}

const everybody = { field: 'A', class: 'GT', kind: 'time', T: 150, drivers: ['Dot', 'Bob', 'Ann', 'Cid'] };
const field = (changes: object = {}) => ({ fields: [{ ...everybody, ...changes }] });
const sum = (list: readonly number[]) => list.reduce((total, value) => total + value, 0);

/** Every number of an answer; `null` would stand where one is not finite. */
function numbersIn(value: unknown): unknown[] {
  if (typeof value !== 'object' || value === null) return typeof value === 'string' ? [] : [value];
  return Object.values(value).flatMap(numbersIn);
}
const expectSound = (answer: unknown) => {
  expect(numbersIn(answer).filter((value) => !Number.isFinite(value))).toEqual([]);
};

describe('lanewise pace --json', () => {
  test('writes one document: pace of every driver and class, lanes, fields', async () => {
    const { err, ...answer } = await answerTo({ fields: field() });
    expect(err).toBe('');
    expect(Object.keys(answer)).toEqual(['pace', 'lane', 'fields']);
    expect(answer.pace.map(({ driver }: { driver: string }) => driver)).toEqual(['Ann', 'Bob', 'Cid', 'Dot']);
    for (const row of answer.pace) {
      expect(Object.keys(row)).toEqual(['driver', 'class', 'logPace', 'lo', 'hi', 'crashRate', 'meanLoss']);
      expect(row.class).toBe('GT');
      expect(Math.exp(row.logPace) / (club.get(row.driver) as number)).toBeCloseTo(1.005, 1.5);
      expect(row.lo).toBeLessThan(row.logPace);
      expect(row.hi).toBeGreaterThan(row.logPace);
      expect(row.crashRate).toBeLessThan(0.02);
    }
    expect(answer.lane.map(({ track, lane }: { track: string; lane: number }) => `${track}${lane}`)).toEqual([
      'T1',
      'T2',
      'T3',
      'T4',
    ]);
    expect(sum(answer.lane.map(({ logEffect }: { logEffect: number }) => logEffect))).toBeCloseTo(0, 8);
    expect(answer.lane[3].logEffect).toBeCloseTo(0.015, 2.2);
    expect(Object.keys(answer.fields[0])).toEqual(['field', 'delays', 'winBefore', 'winAfter']);
  });

  test('tells delays in tenths of a second, none for the slowest, that make chances equal', async () => {
    const { fields } = await answerTo({ fields: field() });
    const [{ delays, winBefore, winAfter }] = fields;
    const [dot, bob, ann, cid] = delays;
    expect(dot).toBe(0);
    // Equal distance at clean pace: 150 s x (1 - 6 / 7.2) = 25 s, as pursuit starts have it.
    expect(ann).toBeGreaterThan(22);
    expect(ann).toBeLessThan(28);
    expect(ann).toBeGreaterThan(bob);
    expect(bob).toBeGreaterThan(cid);
    for (const delay of delays) expect(10 * delay).toBeCloseTo(Math.round(10 * delay), 9);
    expect(winBefore[2]).toBeGreaterThan(0.9);
    for (const chances of [winBefore, winAfter]) expect(sum(chances)).toBeCloseTo(1, 9);
    for (const chance of winAfter) expect(Math.abs(chance - 0.25)).toBeLessThan(0.03);
  });

  test('takes laps for a length, lanes into account, and fields in their order', async () => {
    const asked = {
      fields: [
        { ...everybody, field: 7, kind: 'laps', N: 20, T: null },
        { ...everybody, field: 'B', lanes: [1, 4, 2, 3] },
        { ...everybody, field: 'C', lanes: [1, 2, 4, null] },
      ],
    };
    const { fields } = await answerTo({ fields: asked });
    expect(fields.map((each: { field: unknown }) => each.field)).toEqual([7, 'B', 'C']);
    // Twenty laps: 20 x (7.2 - 6) = 24 s.
    expect(fields[0].delays[2]).toBeGreaterThan(21);
    expect(fields[0].delays[2]).toBeLessThan(28);
    // Two of a hundred on lane 4 are about 2.5 of 150 s.
    expect(fields[1].delays[2] - fields[2].delays[2]).toBeGreaterThan(1.5);
    expect(fields[1].delays[1] - fields[2].delays[1]).toBeLessThan(-1.5);
  });

  test('writes the same bytes again, and other chances with another seed', async () => {
    const files = { fields: field() };
    const [first, again, other] = [
      await pace(files, '--json'),
      await pace(files, '--json'),
      await pace(files, '--json', '--seed', '2'),
    ];
    expect(again).toEqual(first);
    expect(JSON.parse(other.out).pace).toEqual(JSON.parse(first.out).pace);
    expect(JSON.parse(other.out).fields).not.toEqual(JSON.parse(first.out).fields);
  });

  test('tells a field the same whatever its order and its neighbours', async () => {
    const turned = { ...everybody, drivers: ['Ann', 'Cid', 'Bob', 'Dot'] };
    const { fields } = await answerTo({ fields: { fields: [everybody, turned] } });
    const [dot, bob, ann, cid] = fields[0].winAfter;
    expect(fields[1].winAfter).toEqual([ann, cid, bob, dot]);
  });

  test('does without drivers and fields, and reads standard input', async () => {
    const laps = await file('laps.csv', usual);
    const { code, out, err } = await runCommand('pace', '--laps', laps, '--json');
    expect({ code, err }).toEqual({ code: 0, err: '' });
    expect(JSON.parse(out)).toMatchObject({ pace: [{}, {}, {}, {}], fields: [] });

    vi.spyOn(process, 'stdin', 'get').mockReturnValue(Readable.from([usual]) as typeof process.stdin);
    expect(await runCommand('pace', '--laps', '-', '--json')).toEqual({ code, out, err });
  });
});

describe('lanewise pace as text', () => {
  test('shows tables for people', async () => {
    const { code, out } = await pace({ fields: field({ lanes: [1, 2, 3, null] }) });
    expect(code).toBe(0);
    expect(out).toMatch(/^Driver +Class +Lap s +90 % limits +To field +Crash\/100 +Lost s$/m);
    expect(out).toMatch(/^Ann +GT +6\.\d\d +[56]\.\d\d to 6\.\d\d +-\d\.\d % +\d\.\d +\d\.\d$/m);
    expect(out.indexOf('\nAnn ')).toBeLessThan(out.indexOf('\nDot '));
    expect(out).toMatch(/^T +4 +\+1\.\d % +\+\d\.\d % to \+\d\.\d %$/m);
    expect(out).toContain('\nField A: 150 s, GT\n');
    expect(out).toMatch(/^Dot +1 +0\.0 +0\.0 % +2\d\.\d %$/m);
    expect(out).toMatch(/^Cid +- +\d+\.\d +\d+\.\d % +2\d\.\d %$/m);
  });

  test('fits 80 columns whatever names are', async () => {
    const long = (text: string) =>
      text
        .replaceAll('Ann', `"Ann of the ${'very '.repeat(20)}\u0007long name"`)
        .replaceAll(',GT,', `,${'G'.repeat(60)},`);
    const drivers = [`Ann of the ${'very '.repeat(20)}\u0007long name`, 'Bob'];
    const { out } = await pace({
      laps: long(usual),
      drivers: long(driversCsv),
      fields: field({ field: 'F'.repeat(90), drivers, class: 'G'.repeat(60) }),
    });
    expect(out).toContain('Ann of the very');
    expect(out).not.toContain('\u0007');
    expect(Math.max(...out.split('\n').map((line) => [...line].length))).toBeLessThanOrEqual(80);
  });
});

describe('lanewise pace says what is not known, and goes on', () => {
  test.each<[string, object, string]>([
    [
      'driver',
      { drivers: ['Dot', 'Bob', 'Zoe', 'Max'] },
      'Field A: Zoe, Max have no laps that show pace and are taken for',
    ],
    ['class', { class: 'F1' }, 'Field A: there are no laps in class F1; the mean of the others is taken.'],
    ['lane', { lanes: [1, 2, 3, 9] }, 'Field A: there are no laps on lane 9 of track T; it is taken'],
    [
      'track',
      { track: 'U', lanes: [1, 2, 3, 4] },
      'Field A: there are no laps on track U; its lanes are taken to be alike.',
    ],
    ['key', { lap: 3 }, 'Field 1: the key "lap" means nothing and is passed over.'],
  ])('unknown %s', async (_, changes, sentence) => {
    const { err, ...answer } = await answerTo({ fields: field(changes) });
    expect(err).toContain(sentence);
    expect(err.trim()).not.toContain('\n');
    expectSound(answer);
    expect(sum(answer.fields[0].winAfter)).toBeCloseTo(1, 9);
  });

  test('a driver without laps has the group that the table of drivers names', async () => {
    const asked = { fields: [{ ...everybody, drivers: ['Ann', 'Zoe'] }] };
    const answers = [];
    for (const group of ['junior', 'adult']) {
      answers.push(await answerTo({ drivers: `${driversCsv}Zoe,${group}\n`, fields: asked }));
    }
    const [junior, adult] = answers;
    expect(junior.err).toBe('Field A: Zoe has no laps that show pace and is taken for an average newcomer.\n');
    expect(adult.err).toBe(junior.err);
    expect(junior.pace).toEqual(adult.pace);
    expect(junior.fields[0].delays[0]).toBeGreaterThan(0);
    expect(junior.fields).not.toEqual(adult.fields);
  });

  test('drivers of the laps whom the table of drivers does not name', async () => {
    const { err } = await answerTo({ drivers: 'driver,group\nAnn,adult\nBob,\nCid,adult\n' });
    expect(err).toBe('Of Dot nobody said junior or adult; this driver is taken for a mixture of both.\n');
  });
});

describe('lanewise pace survives what laps may hold', () => {
  const first = usual.split('\n').slice(1, 401);
  const oneOf = (driver: string) => [head, ...first.filter((line) => line.includes(`,${driver},`))].join('\n');
  test.each<[string, string]>([
    ['no history', `${head}\n`],
    ['one driver', oneOf('Ann')],
    ['one lap', [head, first[1]].join('\n')],
    ['one lap from a standing start', [head, first[0]].join('\n')],
    ['identical laps', lapsCsv(() => '6')],
    ['only crashes', lapsCsv(usualTime, () => 'crash')],
    ['only track calls', lapsCsv(usualTime, () => 'call')],
    ['laps of an hour alone', lapsCsv(() => '3600')],
    ['times of 0 alone', lapsCsv(() => '0')],
    ['a hundredth of a second', lapsCsv(() => '0.01')],
  ])('%s', async (_, laps) => {
    const asked = { fields: [{ ...everybody }, { ...everybody, kind: 'laps', N: 10, lanes: [1, 2, 3, 4] }] };
    const { err, ...answer } = await answerTo({ laps, fields: asked });
    expectSound(answer);
    for (const { delays, winBefore, winAfter } of answer.fields) {
      expect(Math.min(...delays)).toBe(0);
      for (const chances of [winBefore, winAfter]) expect(sum(chances)).toBeCloseTo(1, 9);
    }
    for (const { logPace, lo, hi, crashRate, meanLoss } of answer.pace) {
      expect(lo).toBeLessThanOrEqual(logPace);
      expect(hi).toBeGreaterThanOrEqual(logPace);
      expect(crashRate).toBeGreaterThan(0);
      expect(crashRate).toBeLessThan(1);
      expect(meanLoss).toBeGreaterThan(0);
    }
    if (answer.pace.length === 0) expect(err).toContain('there is no lap that shows pace');
    expect((await pace({ laps, fields: asked })).code).toBe(0);
  });

  test('leaves out laps whose times are none, and counts them', async () => {
    const faulty = ['0', '-6.1', 'Infinity', 'NaN', '', '1e999', '-inf', '3600', '0.001'];
    const lines = faulty.map((time) => `3,1,0,T,1,Bob,GT,4,${time},`);
    const with_ = await answerTo({ laps: `${usual}${lines.join('\n')}\n` });
    const without = await answerTo({});
    expect(with_.pace).toEqual(without.pace);
    expect(with_.err).toMatch(/laps\.csv: 7 laps have no time above 0 and are left out, the first in line 802\.\n/);
    expect(with_.err).toMatch(/laps\.csv: 2 laps took longer or shorter than a slot car drives/);
  });
});

describe('lanewise pace refuses in one sentence, and writes nothing else', () => {
  const laps = (line: string) => `${usual}${line}\n`;
  test.each<[Files, string]>([
    [{ laps: '' }, 'laps.csv, line 1: the columns night, heat, start_s, track, lane,'],
    [
      { laps: usual.replace(',flag', '') },
      'laps.csv, line 1: the column flag is missing; the first line must name night,',
    ],
    [{ laps: usual.replace('time_s', 'time') }, 'laps.csv, line 1: the column time_s is missing;'],
    [{ laps: usual.replaceAll(',', ';') }, 'laps.csv, line 1: the columns night, heat'],
    [{ laps: laps('6,1,0,T,x,Ann,GT,1,6,') }, 'laps.csv, line 802: lane must be a whole number from 1, not "x".'],
    [{ laps: laps('6,1,0,T,0,Ann,GT,1,6,') }, 'laps.csv, line 802: lane must be a whole number from 1, not "0".'],
    [{ laps: laps('6,1,0,T,1,,GT,1,6,') }, 'laps.csv, line 802: driver must be a name, not "".'],
    [{ laps: laps('6,1,0,T,1,Ann,GT,1,6,fell off') }, 'line 802: flag must be crash, call or empty, not "fell off".'],
    [{ laps: laps('6,1,0,T,1,Ann,GT,1,"6,1",') }, 'laps.csv, line 802: time_s must be a number of seconds, not "6,1".'],
    [{ laps: laps('x,1,0,T,1,Ann,GT,1,6,\ny\nz') }, 'not "x", and 2 more lines cannot be read.'],
    [
      { drivers: 'name\nAnn\n' },
      'drivers.csv, line 1: the columns driver, group are missing; the first line must name driver,group.',
    ],
    [
      { drivers: 'driver,group\nAnn,senior\n' },
      'drivers.csv, line 2: group must be junior, adult or empty, not "senior".',
    ],
    [{ drivers: 'driver,group\nAnn,\nAnn,\n' }, 'drivers.csv, line 3: the driver "Ann" stands there a second time.'],
    [{ fields: '{"fields":\n[{"field":"A",\n}]}' }, 'fields.json, line 3: this is no JSON document.'],
    [{ fields: '{"fields":[\n{"field":"A"}' }, 'fields.json, line 2: this is no JSON document.'],
    [{ fields: [] }, 'fields.json: there must be one JSON object {"fields":[…]}.'],
    [{ fields: { fields: ['A'] } }, 'fields.json, field 1: a field must be a JSON object.'],
    [{ fields: field({ kind: 'distance' }) }, 'field 1: kind must be "time" or "laps".'],
    [{ fields: field({ T: 0 }) }, 'field 1: T must be seconds above 0'],
    [{ fields: field({ T: null }) }, 'field 1: T must be seconds above 0'],
    [{ fields: field({ kind: 'laps' }) }, 'field 1: N must be a whole number of laps'],
    [{ fields: field({ kind: 'laps', N: 2.5 }) }, 'field 1: N must be a whole number of laps'],
    [{ fields: field({ drivers: [] }) }, 'field 1: drivers must be a list of 1 to 60 names'],
    [{ fields: field({ drivers: ['Ann', 'Ann'] }) }, 'field 1: drivers must be a list of 1 to 60 names, each once.'],
    [{ fields: field({ lanes: [1, 2, 3] }) }, 'field 1: there are 4 drivers but 3 lanes.'],
    [{ fields: field({ lanes: [1, 2, 3, 0] }) }, 'field 1: lanes must be a list'],
    [
      { laps: laps('6,1,0,T,1,Ann,F1,2,6,'), fields: field({ class: undefined }) },
      'field 1: class must be named, as the laps are of several: F1, GT.',
    ],
  ])('%j', async (files, sentence) => {
    const { code, out, err } = await pace(files, '--json');
    expect({ code, out }).toEqual({ code: 1, out: '' });
    expect(err).toContain(sentence);
    expect(err.trim()).not.toContain('\n');
  });

  test.each([
    [[], 'Name a table of laps with --laps. "lanewise pace --help"'],
    [['--laps', '-', '--fields', '-'], 'Only one of the files can be standard input.'],
    [['--laps', 'x.csv', '--seed', '-1'], '--seed'],
    [['--laps', 'x.csv', '--seed=4294967296'], '--seed must be a whole number from 0'],
  ])('%j is wrong use', async (args, sentence) => {
    const { code, out, err } = await runCommand('pace', ...args, '--json');
    expect({ code, out }).toEqual({ code: 2, out: '' });
    expect(err).toContain(sentence);
    expect(err.trim()).not.toContain('\n');
  });

  test('a file that is not there', async () => {
    const { code, out, err } = await runCommand('pace', '--laps', join(folder, 'none.csv'));
    expect({ code, out }).toEqual({ code: 1, out: '' });
    expect(err).toMatch(/^There is no file .*none\.csv\.\n$/);
    expect(await runCommand('pace', '--laps', folder)).toMatchObject({ code: 1, out: '' });
  });
});
