import { readdirSync, readFileSync } from 'node:fs';
import { Readable } from 'node:stream';
import { fileURLToPath } from 'node:url';
import { afterEach, describe, expect, it, vi } from 'vitest';
import { readLog } from '../../server/archive/log-read.ts';
import { writeLog } from '../../server/archive/log-write.ts';
import { countMeeting } from '../../server/results/count.ts';
import { detailJson } from '../../server/results/detail-json.ts';
import type { MeetingFacts } from '../../server/results/meeting-facts.ts';
import { resultsJson } from '../../server/results/results-json.ts';
import { runCommand } from '../helpers/command.ts';

// Source of all expected results: two separate implementations of the counting rules (data/nights/README.md).

const data = new URL('./data/nights/', import.meta.url);
const path = (name: string) => fileURLToPath(new URL(name, data));
const text = (name: string) => readFileSync(path(name), 'utf8');

/** The logs of a folder by name, without their ending. */
function logs(folder: string): string[] {
  const names = readdirSync(path(folder)).filter((file) => file.endsWith('.jsonl'));
  return names.map((file) => `${folder}/${file.replace('.jsonl', '')}`);
}

const counted = [...logs('cases'), ...logs('nights')];
const refused = logs('bad');

function read(name: string): MeetingFacts {
  const { facts, refusal } = readLog(readFileSync(path(`${name}.jsonl`)));
  if (refusal) throw new Error(`line ${refusal.line} refused: ${refusal.code}`);
  return facts;
}

it('has all cases, nights and bad logs', () => {
  expect([logs('cases').length, logs('nights').length, refused.length]).toEqual([110, 8, 83]);
});

describe('a log that is taken', () => {
  it.each(counted)('gives the results of %s byte for byte', (name) => {
    const meeting = countMeeting(read(name));
    expect(resultsJson(meeting.races)).toBe(text(`${name}.results.json`));
    expect(detailJson(meeting)).toBe(text(`${name}.detail.json`));
  });

  it.each(counted)('written and read again is the same meeting: %s', (name) => {
    const facts = read(name);
    expect(readLog(new TextEncoder().encode(writeLog(facts)))).toEqual({ facts });
  });
});

describe('a log that is refused', () => {
  it.each(refused)('names the bad line of %s', (name) => {
    const { facts, refusal } = readLog(readFileSync(path(`${name}.jsonl`)));
    expect(facts).toBeUndefined();
    expect({ line: refusal?.line }).toEqual(JSON.parse(text(`${name}.refused.json`)));
  });
});

describe('lanewise count', () => {
  afterEach(() => vi.restoreAllMocks());
  const some = [...logs('nights'), ...logs('cases').filter((name) => /49|73|74/.test(name))];

  it.each(some)('prints %s as the reference has it', async (name) => {
    const file = path(`${name}.jsonl`);
    expect(await runCommand('count', file, '--json')).toEqual({ code: 0, out: text(`${name}.results.json`), err: '' });
    const detail = { code: 0, out: text(`${name}.detail.json`), err: '' };
    expect(await runCommand('count', '--json', '--detail', file)).toEqual(detail);
    expect(await runCommand('count', '--detail', file)).toEqual(detail);
  });

  it('reads standard input', async () => {
    const [name = ''] = logs('nights');
    vi.spyOn(process, 'stdin', 'get').mockReturnValue(Readable.from([readFileSync(path(`${name}.jsonl`))]) as never);
    expect((await runCommand('count', '-', '--json')).out).toBe(text(`${name}.results.json`));
  });

  it.each(refused)('refuses %s with a sentence that names the line', async (name) => {
    const { line } = JSON.parse(text(`${name}.refused.json`));
    for (const options of [[], ['--json']]) {
      const { code, out, err } = await runCommand('count', path(`${name}.jsonl`), ...options);
      expect({ code, out }).toEqual({ code: 1, out: '' });
      expect(err).toMatch(new RegExp(`^Line ${line}: .+\\. Nothing was taken from the log\\.\n$`));
    }
  });

  it('prints a table for people', async () => {
    const { code, out } = await runCommand('count', path('cases/31-missing-mean.jsonl'));
    expect(code).toBe(0);
    expect(out).toMatch(/^ *1 +\S+ +\d+\.\d\d +\d+ +\d+\.\d\d\d +\d+( +\d filled by the mean)?$/m);
  });

  it('says what was wrong with its use', async () => {
    expect((await runCommand('count')).code).toBe(2);
    expect((await runCommand('count', 'a', 'b')).code).toBe(2);
    expect((await runCommand('count', '--jsn', 'a')).code).toBe(2);
    expect(await runCommand('count', path('none.jsonl'))).toMatchObject({
      code: 1,
      out: '',
      err: expect.stringContaining('There is no file'),
    });
    expect(await runCommand('count', path('cases'))).toMatchObject({ code: 1, out: '' });
    expect((await runCommand('count', '--help')).out).toContain('Usage: lanewise count FILE');
  });
});
