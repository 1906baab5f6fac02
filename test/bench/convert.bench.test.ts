import { expect, test } from 'vitest';
import { compareProfiles } from '../../server/profiles/compare/compare.ts';
import { convertProfile } from '../../server/profiles/convert/convert.ts';
import type { UnitCurve, UnitSheet } from '../../server/profiles/convert/sheet.ts';
import { unlimitedSheet } from '../../server/profiles/convert/sheet-schema.ts';
import { type CurvePoint, defaultTuning, type Tuning } from '../../server/profiles/model/profile.ts';

/** A page that moves or compares does it a few times: each of them in this much CPU time. */
const mostMs = 5;

const points: readonly CurvePoint[] = [0, 60, 130, 270, 400, 620, 750, 900, 1000].map((x) => [x, ((x * x) / 1000) | 0]);
const chopped: Tuning = {
  ...defaultTuning,
  maxDrive: 777,
  brakeFull: 650,
  drag: { strength: 333, zoneFrom: 100, zoneTo: 500, closingOnly: true },
  pwmHz: 1450,
  curve: { kind: 'points', points },
};
const curves: readonly UnitCurve[] = [
  { kind: 'number', min: -100, max: 100, step: 1 },
  { kind: 'table', n: 256, yStep: 1 },
  { kind: 'points', max: 5 },
  { kind: 'any' },
];
const steps = (max: number, step: number) => ({ min: 0, max, step });

function cpuMsOf(work: () => unknown, times: number): number {
  for (let i = 0; i < times; i++) work();
  const before = process.cpuUsage();
  for (let i = 0; i < times; i++) work();
  const { user, system } = process.cpuUsage(before);
  return (user + system) / 1000 / times;
}

test.each(curves)('conversion to a unit with a curve of kind $kind', (curve) => {
  const sheet: UnitSheet = {
    ...unlimitedSheet,
    minDrive: null,
    maxDrive: null,
    rampUpMs: steps(400, 25),
    brakeFull: steps(1000, 30),
    drag: { strength: steps(1000, 70), zone: steps(1000, 30), closingOnly: false },
    pwmHz: { list: [200, 500, 1000, 2000, 5000] },
    curve,
  };
  const ms = cpuMsOf(() => convertProfile(chopped, sheet), 50);
  console.log(`convert, curve of kind ${curve.kind}: ${ms.toFixed(2)} ms`);
  expect(ms).toBeLessThan(mostMs);
});

test('comparison', () => {
  const ms = cpuMsOf(() => compareProfiles(chopped, defaultTuning), 200);
  console.log(`compare: ${ms.toFixed(3)} ms`);
  expect(ms).toBeLessThan(mostMs);
});
