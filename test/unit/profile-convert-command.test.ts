import { mkdtemp, rm, writeFile } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import { runCommand } from '../helpers/command.ts';

let folder = '';
beforeAll(async () => {
  folder = await mkdtemp(join(tmpdir(), 'convert-'));
});
afterAll(() => rm(folder, { recursive: true }));

const profile = {
  name: 'Ann, sports car',
  minDrive: 83,
  maxDrive: 800,
  releaseBand: 20,
  curve: { kind: 'shape', shape: 35 },
  rampUpMs: 120,
  brakeFull: 700,
  drag: { strength: 300, zoneFrom: 100, zoneTo: 400, closingOnly: true },
  pwmHz: 1450,
  decay: 'slow',
  rectify: 'async',
};
const hundred = { min: 0, max: 1000, step: 100 };
const unit = {
  minDrive: { min: 0, max: 400, step: 10 },
  maxDrive: null,
  releaseBand: { min: 0, max: 150, step: 5 },
  rampUpMs: { min: 0, max: 100, step: 25 },
  brakeFull: hundred,
  drag: { strength: hundred, zone: hundred, closingOnly: false },
  pwmHz: { list: [1000, 2000] },
  decay: ['slow'],
  rectify: ['async', 'sync'],
  curve: { kind: 'number', min: -100, max: 100, step: 10 },
};

async function file(name: string, content: unknown): Promise<string> {
  const path = join(folder, name);
  await writeFile(path, typeof content === 'string' ? content : JSON.stringify(content));
  return path;
}

const convert = async (what: unknown, sheet: unknown, ...more: string[]) =>
  runCommand('profile', 'convert', await file('p.json', what), '--unit', await file('u.json', sheet), ...more);

describe('lanewise profile convert', () => {
  test('answers one document', async () => {
    const { code, out } = await convert(profile, unit, '--json');
    expect(code).toBe(0);
    const answer = JSON.parse(out);
    expect(Object.keys(answer)).toEqual(['profile', 'table', 'report', 'needsConfirmation']);
    expect(answer).toMatchObject({ needsConfirmation: true, table: null });
    expect(answer.profile).toEqual({
      ...profile,
      minDrive: 80,
      maxDrive: 1000,
      curve: { kind: 'shape', shape: 30 },
      rampUpMs: 100,
      drag: { strength: 0, zoneFrom: 100, zoneTo: 400, closingOnly: false },
      pwmHz: 2000,
    });
    const rows = Object.fromEntries(
      answer.report.map((row: { field: string; what: string; severity: string }) => [
        row.field,
        [row.what, row.severity],
      ]),
    );
    expect(rows).toMatchObject({
      minDrive: ['rounded', 'minor'],
      maxDrive: ['lost', 'safety'],
      releaseBand: ['exact', 'none'],
      curve: ['rounded', 'minor'],
      rampUpMs: ['clamped', 'noticeable'],
      brakeFull: ['exact', 'none'],
      'drag.strength': ['lost', 'major'],
      'drag.zoneFrom': ['exact', 'none'],
      'drag.closingOnly': ['lost', 'major'],
      pwmHz: ['rounded', 'noticeable'],
      decay: ['exact', 'none'],
    });
    expect(answer.report).toHaveLength(13);
    expect(answer.report[0]).toMatchObject({ from: 83, to: 80, size: expect.closeTo(0.15, 1) });
  });

  test('says it in words, safety last', async () => {
    const { out } = await convert(profile, unit);
    expect(out).toMatch(/^Ann, sports car\n\nSetting +was +becomes +felt\nMinimum drive +8\.3 % +8 % +rounded/);
    expect(out).toMatch(/\nMaximum drive +80 % +100 % +the unit cannot do this +may be faster \(/);
    expect(out).toMatch(/\nSwitching frequency +1450 Hz +2000 Hz/);
    expect(out).toMatch(
      /\nRelease brake: at the new switching frequency it brakes like \d+ % of a full brake instead of \d+ %/,
    );
    expect(out).toMatch(/would drive at up to 100 % where the profile stops at 80 %/);
    expect(out).not.toContain('Release band');
    expect((await convert(profile, unit, '--all')).out).toMatch(/\nRelease band +2 % +2 % +as it is +not felt/);
  });

  test('reads the shared form, and hands out a table', async () => {
    const sheet = { ...unit, maxDrive: hundred, curve: { kind: 'table', n: 5, yStep: 10 } };
    const shared = { type: 'ctl-profile', v: 1, profile };
    const { out } = await convert(shared, sheet);
    expect(out).toMatch(/\nTable of the unit, permille: 0 \d+ \d+ \d+ 1000\n$/);
    expect(JSON.parse((await convert(shared, sheet, '--json')).out).table).toHaveLength(5);
  });

  test('nothing to tell', async () => {
    const one = { min: 0, max: 1000, step: 1 };
    const sheet = {
      ...unit,
      minDrive: { min: 0, max: 600, step: 1 },
      maxDrive: { ...one, min: 100 },
      rampUpMs: { min: 0, max: 500, step: 1 },
      drag: { strength: one, zone: one, closingOnly: true },
      pwmHz: { list: [1450] },
      curve: { kind: 'any' },
    };
    expect((await convert(profile, sheet)).out).toBe('Ann, sports car\n\nEvery setting stays as it is.\n');
  });

  test('refuses what it cannot read', async () => {
    expect(await convert(profile, { ...unit, minDrive: { min: 700, max: 900, step: 10 } })).toMatchObject({
      code: 1,
      out: '',
      err: expect.stringMatching(/u\.json: The minimum drive must be from 0 to 600\.\n$/),
    });
    expect(await convert(profile, '{')).toMatchObject({ code: 1, err: expect.stringMatching(/u\.json holds no JSON/) });
    expect(await convert({ ...profile, maxDrive: 1001 }, unit)).toMatchObject({
      code: 1,
      err: expect.stringMatching(/^RANGE: /),
    });
    const path = await file('p.json', profile);
    expect(await runCommand('profile', 'convert', path)).toMatchObject({ code: 2, out: '' });
    expect(await runCommand('profile', 'convert', '--unit', path)).toMatchObject({ code: 2, out: '' });
    expect(await runCommand('profile', 'convert', '-', '--unit', '-')).toMatchObject({ code: 2, out: '' });
    expect(await runCommand('profile', 'convert', '--help')).toMatchObject({ code: 0, err: '' });
  });
});
