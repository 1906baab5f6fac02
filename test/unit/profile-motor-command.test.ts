import { mkdtemp, rm, writeFile } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import { defaultTuning } from '../../server/profiles/model/profile.ts';
import { presets } from '../../server/profiles/motor/motor.ts';
import { runCommand } from '../helpers/command.ts';

let folder = '';
beforeAll(async () => {
  folder = await mkdtemp(join(tmpdir(), 'motor-'));
});
afterAll(() => rm(folder, { recursive: true }));

const profile = { name: 'Hairpins', ...defaultTuning };

async function motorOf(content: unknown, ...options: string[]) {
  const path = join(folder, 'motor.json');
  await writeFile(path, typeof content === 'string' ? content : JSON.stringify(content));
  return runCommand('profile', 'motor', path, ...options);
}

describe('lanewise profile motor', () => {
  test('gives numbers with their units in the names', async () => {
    const { code, out, err } = await motorOf({ motor: presets.club, profile }, '--json');
    expect({ code, err }).toEqual({ code: 0, err: '' });
    const figures = JSON.parse(out);
    expect(figures).toMatchObject({
      steadySpeedMPerS: expect.closeTo(12.43, 2),
      stallCurrentA: expect.closeTo(20.83, 2),
    });
    expect(figures.peakCurrentA).toBeLessThan(figures.stallCurrentA);
    expect(figures.fullBrakeStopDistanceM).toBeLessThan(figures.coastDistanceM);
    expect(figures.continuousRippleHalfDutyA).toBeLessThan(figures.linearRippleHalfDutyA);
    expect(figures.lightLoad.rmsCurrentA).toBeGreaterThan(figures.lightLoad.meanCurrentA);
  });

  test('says so of values that are of no motor together', async () => {
    const ends = { rOhm: 0.001, lMh: 0.001, keVs: 10, jm: 1e-10, mKg: 0.001, rM: 0.001, gear: 100 };
    const { code, out, err } = await motorOf({ motor: { ...presets.club, ...ends }, profile });
    expect({ code, out }).toEqual({ code: 1, out: '' });
    expect(err).toContain('These values do not fit together');
  });

  test('takes a preset by its name, and fills in what a motor may leave out', async () => {
    const byName = await motorOf({ motor: 'club', profile }, '--json');
    const { fMagN, crr, rear, rho, wiringOhm, ...needed } = presets.club;
    const byFields = await motorOf({ motor: needed, profile }, '--json');
    expect(byFields.out).toBe(byName.out);
  });

  test('wiring lowers the stall current', async () => {
    const { out } = await motorOf({ motor: { ...presets.club, wiringOhm: 0.4 }, profile }, '--json');
    expect(JSON.parse(out).stallCurrentA).toBeCloseTo(12.5, 9);
  });

  test('says it in words too, and what it leaves out', async () => {
    const { code, out } = await motorOf({ motor: 'mild', profile });
    expect(code).toBe(0);
    expect(out).toContain('they do not predict lap times');
    expect(out).toMatch(/Stall current +3 A/);
  });

  test('a motor that cannot move and a car that never stops have no endless numbers', async () => {
    const stuck = await motorOf({ motor: { ...presets.club, tf: 1 }, profile }, '--json');
    expect(JSON.parse(stuck.out)).toMatchObject({ steadySpeedRadPerS: 0, wheelsSlideAbove: [], coastTimeS: 0 });
    const smooth = await motorOf({ motor: { ...presets.club, tf: 0, b: 0, crr: 0 }, profile }, '--json');
    expect(JSON.parse(smooth.out)).toMatchObject({ coastTimeS: null, fullBrakeStopTimeS: null });
    const shown = await motorOf({ motor: { ...presets.club, tf: 0, b: 0, crr: 0 }, profile });
    expect(shown.out).toMatch(/Coasting +never/);
  });

  const bad: [string, unknown, string][] = [
    ['no JSON', '{"motor":', 'JSON'],
    ['nothing of a motor', { profile }, 'does not hold'],
    ['no profile', { motor: 'club' }, 'does not hold'],
    ['an unknown preset', { motor: 'huge', profile }, '"mild", "club", "strong"'],
    ['a list', { motor: [1], profile }, '"mild"'],
    ['a missing field', { motor: { ...presets.club, rOhm: undefined }, profile }, 'motor.rOhm'],
    ['a text', { motor: { ...presets.club, gear: '3' }, profile }, 'motor.gear'],
    ['no resistance', { motor: { ...presets.club, rOhm: 0 }, profile }, 'motor.rOhm'],
    ['an unknown field', { motor: { ...presets.club, kv: 1 }, profile }, '"kv"'],
    ['a wrong profile', { motor: 'club', profile: { ...profile, minDrive: -1 } }, 'RANGE'],
  ];
  test.each(bad)('refuses %s in one sentence', async (_, content, sentence) => {
    const { code, out, err } = await motorOf(content, '--json');
    expect({ code, out }).toEqual({ code: 1, out: '' });
    expect(err).toContain(sentence);
    expect(err.trim().split('\n')).toHaveLength(1);
  });

  test('needs exactly one file', async () => {
    expect((await runCommand('profile', 'motor')).code).toBe(2);
    expect((await runCommand('profile', 'motor', 'a', 'b')).code).toBe(2);
  });
});
