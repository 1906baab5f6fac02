import { mkdtemp, rm, writeFile } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { Readable } from 'node:stream';
import { afterAll, afterEach, beforeAll, describe, expect, it, vi } from 'vitest';
import { runCommand } from '../helpers/command.ts';
import { readingsOf } from '../helpers/trigger-strokes.ts';

let folder = '';
beforeAll(async () => {
  folder = await mkdtemp(join(tmpdir(), 'calibrate-'));
});
afterAll(() => rm(folder, { recursive: true }));
afterEach(() => vi.restoreAllMocks());

async function calibrate(content: unknown, ...more: string[]) {
  const path = join(folder, 'readings.json');
  await writeFile(path, typeof content === 'string' ? content : JSON.stringify(content));
  return runCommand('profile', 'calibrate', path, ...more);
}

const trigger = readingsOf({ bits: 12, rest: 1200, travel: 683, restSamples: 60 });

describe('lanewise profile calibrate', () => {
  it('answers one document', async () => {
    const { code, out } = await calibrate(trigger, '--json');
    expect(code).toBe(0);
    expect(Object.keys(JSON.parse(out))).toEqual(
      'verdict codes warnings released pressed direction travel noise deadBand adviceDegrees sentence'.split(' '),
    );
    expect(JSON.parse(out)).toMatchObject({
      verdict: 'ok',
      codes: [],
      warnings: [],
      released: 1200,
      pressed: 1883,
      direction: 1,
      travel: 683,
      noise: 0.2887,
      deadBand: 7,
      sentence: expect.stringMatching(
        /reads well\. Nothing has to be touched\. .* turn the magnet by 45 degrees in the direction/,
      ),
    });
  });

  it('says in words what was found and what to do', async () => {
    const { out } = await calibrate(readingsOf({ bits: 12, rest: 3900, travel: 600, restSamples: 60 }));
    expect(out).toMatch(
      /^Re-seat the magnet\.\nThe count starts again at 0 within the travel\. .*\nTurn the magnet by 1\d\d deg/,
    );
    expect(out).toMatch(/\nTravel {5}600\.0 counts, 52\.7 degrees\n/);
  });

  it('reads standard input, also of readings that say nothing', async () => {
    vi.spyOn(process, 'stdin', 'get').mockReturnValue(
      Readable.from([Buffer.from(JSON.stringify({ ...trigger, counts: [1, 2, 3] }))]) as typeof process.stdin,
    );
    const { code, out } = await runCommand('profile', 'calibrate', '-', '--json');
    expect(code).toBe(0);
    expect(JSON.parse(out)).toMatchObject({
      verdict: 'repeat',
      codes: ['TOO_FEW'],
      released: null,
      adviceDegrees: null,
    });
    expect(JSON.parse(out).sentence).not.toMatch(/Turn the magnet/);
  });

  it.each([
    ['no JSON', '{', /holds no JSON/],
    ['another number of bits', { ...trigger, bits: 10 }, /"bits" is not as it should be/],
    ['half a rest', { ...trigger, restSamples: 60.5 }, /"restSamples" is not/],
    ['words for counts', { ...trigger, counts: [1, 'two'] }, /"counts\.1" is not/],
    ['a list', [], /the file is not as it should be/],
  ])('says in a sentence what is wrong with %s', async (_what, content, sentence) => {
    const { code, out, err } = await calibrate(content, '--json');
    expect({ code, out }).toEqual({ code: 1, out: '' });
    expect(err).toMatch(sentence);
    expect(err.trim().split('\n')).toHaveLength(1);
  });

  it('knows one file and its own options', async () => {
    for (const args of [[], ['a', 'b'], ['a', '--bits', '12']]) {
      expect(await runCommand('profile', 'calibrate', ...args)).toMatchObject({ code: 2, out: '' });
    }
    const help = await runCommand('profile', 'calibrate', '--help');
    expect(help).toMatchObject({ code: 0, out: expect.stringMatching(/^Usage: lanewise profile calibrate/) });
    expect(await runCommand('profile', 'calibrate', join(folder, 'none.json'))).toMatchObject({
      code: 1,
      err: expect.stringMatching(/^There is no file/),
    });
  });
});
