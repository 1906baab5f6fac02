import { readFileSync } from 'node:fs';
import path from 'node:path';
import { Ajv2020 } from 'ajv/dist/2020.js';
import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { brakingAt } from '../../server/profiles/convert/brake-effect.ts';
import { convertProfile } from '../../server/profiles/convert/convert.ts';
import { curveErrorOf, fitPoints, fitShape, valueOf } from '../../server/profiles/convert/curve-fit.ts';
import { type ReportField, type ReportRow, reportFields } from '../../server/profiles/convert/report.ts';
import type { Steps, UnitSheet } from '../../server/profiles/convert/sheet.ts';
import { unlimitedSheet } from '../../server/profiles/convert/sheet-schema.ts';
import { nearestOf, nearestRatio } from '../../server/profiles/convert/steps.ts';
import { offShort } from '../../server/profiles/model/brake.ts';
import { problemsOf } from '../../server/profiles/model/check.ts';
import { shapeCurve } from '../../server/profiles/model/curve.ts';
import { defaultTuning, type Profile } from '../../server/profiles/model/profile.ts';
import { anyTuning } from '../helpers/tunings.ts';
import { anySheet } from '../helpers/unit-sheets.ts';

const anyProfile = anyTuning.map((tuning): Profile => ({ name: 'Any', ...tuning }));
const base: Profile = { name: 'Any', ...defaultTuning };

function converted(changes: Partial<Profile>, sheet: Partial<UnitSheet>) {
  const answer = convertProfile({ ...base, ...changes }, { ...unlimitedSheet, ...sheet });
  const row = (field: ReportField) => answer.report.find((each) => each.field === field) as ReportRow;
  return { ...answer, row };
}

const allowedBy = (steps: Steps | null, value: number, idle: number) =>
  steps ? value >= steps.min && value <= steps.max && (value - steps.min) % steps.step === 0 : value === idle;

/** What of a profile the unit cannot be set to; folded settings are the table's. */
function refusedBy(sheet: UnitSheet, profile: Profile, table: readonly number[] | null): string[] {
  const refused: string[] = [];
  const check = (field: string, allowed: boolean) => allowed || refused.push(field);
  check('minDrive', (!sheet.minDrive && table !== null) || allowedBy(sheet.minDrive, profile.minDrive, 0));
  check('maxDrive', (!sheet.maxDrive && table !== null) || allowedBy(sheet.maxDrive, profile.maxDrive, 1000));
  check('releaseBand', allowedBy(sheet.releaseBand, profile.releaseBand, 0));
  check('rampUpMs', allowedBy(sheet.rampUpMs, profile.rampUpMs, 0));
  check('brakeFull', allowedBy(sheet.brakeFull, profile.brakeFull, 0));
  check('drag.strength', allowedBy(sheet.drag?.strength ?? null, profile.drag.strength, 0));
  check('drag.zoneFrom', !sheet.drag || allowedBy(sheet.drag.zone, profile.drag.zoneFrom, 0));
  check('drag.zoneTo', !sheet.drag || allowedBy(sheet.drag.zone, profile.drag.zoneTo, 0));
  check('drag.closingOnly', !profile.drag.closingOnly || sheet.drag?.closingOnly === true);
  check('pwmHz', sheet.pwmHz === null || sheet.pwmHz.list.includes(profile.pwmHz));
  check('decay', sheet.decay.includes(profile.decay));
  check('rectify', sheet.rectify.includes(profile.rectify));
  const { curve } = profile;
  if (sheet.curve?.kind === 'number') {
    check('curve', curve.kind === 'shape' && allowedBy(sheet.curve, curve.shape, 0));
  } else if (sheet.curve?.kind === 'points') {
    check('curve', curve.kind === 'points' && curve.points.length <= sheet.curve.max);
  } else if (sheet.curve?.kind === 'table') {
    const { n, yStep } = sheet.curve;
    const steps = table?.every((entry, k) => entry % yStep === 0 || (k === n - 1 && entry === 1000));
    check('curve', table?.length === n && steps === true);
  }
  return refused;
}

const schema = path.join(import.meta.dirname, '../reference/data/controller/profile.schema.json');
// `items: false` beside `prefixItems` is what the description says; only strict mode asks for more.
const isShared = new Ajv2020({ strict: false }).compile(JSON.parse(readFileSync(schema, 'utf8')));

/** What the profile's published description and our reader find wrong. */
function wrongWith(profile: Profile): string[] {
  const described = isShared({ type: 'ctl-profile', v: 1, profile }) ? [] : (isShared.errors ?? []);
  return [...described.map(({ instancePath, message }) => `${instancePath} ${message}`), ...problemsOf(profile)];
}

describe('any profile on any unit', () => {
  test('is a valid profile that the unit can be set to, and every setting is told of', () => {
    fc.assert(
      fc.property(anyProfile, anySheet, (profile, sheet) => {
        const { profile: result, table, report } = convertProfile(profile, sheet);
        expect(wrongWith(result)).toEqual([]);
        expect(refusedBy(sheet, result, table)).toEqual([]);
        expect(report.map(({ field }) => field)).toEqual(reportFields);
        expect(result.name).toBe(profile.name);
      }),
      { numRuns: 800 },
    );
  });

  test('is exact where nothing changed, and never felt then', () => {
    fc.assert(
      fc.property(anyProfile, anySheet, (profile, sheet) => {
        for (const { what, from, to, severity } of convertProfile(profile, sheet).report) {
          if (what === 'exact') expect({ to, severity }).toEqual({ to: from, severity: 'none' });
          else if (what === 'rounded' || what === 'clamped') expect(to).not.toEqual(from);
        }
      }),
      { numRuns: 500 },
    );
  });

  test('never drives faster than wanted, unless that asks to be confirmed', () => {
    fc.assert(
      fc.property(anyProfile, anySheet, (profile, sheet) => {
        const { profile: result, needsConfirmation } = convertProfile(profile, sheet);
        expect(needsConfirmation).toBe(result.maxDrive > profile.maxDrive);
      }),
      { numRuns: 800 },
    );
  });

  test('there and back: a limit never rises, what was exact stays', () => {
    fc.assert(
      fc.property(anyProfile, anySheet, (profile, sheet) => {
        const there = convertProfile(profile, sheet);
        const back = convertProfile(there.profile, unlimitedSheet);
        expect(back.profile).toEqual(there.profile);
        expect(back.report.every(({ what }) => what === 'exact')).toBe(true);
        if (!there.needsConfirmation) expect(back.profile.maxDrive).toBeLessThanOrEqual(profile.maxDrive);
        for (const { field, what, from } of there.report) {
          if (what === 'exact') expect(back.report.find((row) => row.field === field)?.to).toEqual(from);
        }
      }),
      { numRuns: 500 },
    );
  });

  test('a table never falls and stays below the limit', () => {
    const tables = anySheet.filter(({ curve }) => curve?.kind === 'table');
    fc.assert(
      fc.property(anyProfile, tables, (profile, sheet) => {
        const { table, report, profile: result } = convertProfile(profile, sheet);
        if (!table) throw new Error('no table');
        expect(table.every((entry, k) => k === 0 || entry >= (table[k - 1] as number))).toBe(true);
        const low = sheet.minDrive ? result.minDrive : 0;
        const high = sheet.maxDrive ? result.maxDrive : 1000;
        const top = low + ((high - low) * (table.at(-1) as number)) / 1000;
        const safe = report.every(({ severity }) => severity !== 'safety');
        if (safe) expect(top).toBeLessThanOrEqual(profile.maxDrive + 1e-9);
        if (sheet.minDrive) expect(table[0]).toBe(0);
        if (sheet.maxDrive) expect(table.at(-1)).toBe(1000);
      }),
      { numRuns: 500 },
    );
  });

  test('drag is never left on in both directions', () => {
    fc.assert(
      fc.property(anyProfile, anySheet, (profile, sheet) => {
        const after = convertProfile(profile, sheet).profile;
        if (!profile.drag.closingOnly || after.drag.closingOnly || after.rectify === 'sync') return;
        // Where a unit cannot switch it off, one point of the trigger may be left.
        const lowest = (sheet.drag?.zone.min ?? 0) / 1000;
        const braked = Array.from({ length: 1001 }, (_, i) => i / 1000).filter((x) => offShort(after, x, false) > 0);
        expect(braked.filter((x) => x > after.releaseBand / 1000 && x !== lowest)).toEqual([]);
      }),
      { numRuns: 500 },
    );
  });
});

describe('rounding', () => {
  test('a tie goes down', () => {
    const ten = { min: 0, max: 100, step: 10 };
    expect(nearestOf(ten, 45)).toEqual({ value: 40, what: 'rounded' });
    expect(nearestOf(ten, 46)).toEqual({ value: 50, what: 'rounded' });
    expect(nearestOf({ min: 5, max: 100, step: 10 }, 20)).toEqual({ value: 15, what: 'rounded' });
  });

  test('is clamped first, and the most is only allowed where a step ends there', () => {
    expect(nearestOf({ min: 0, max: 99, step: 25 }, 120)).toEqual({ value: 75, what: 'clamped' });
    expect(nearestOf({ min: 20, max: 100, step: 25 }, 3)).toEqual({ value: 20, what: 'clamped' });
  });

  test('frequencies go by ratio', () => {
    expect(nearestRatio([1000, 2000], 1450)).toBe(2000);
    expect(nearestRatio([1000, 2000], 1400)).toBe(1000);
    // 500 is as far from 1000 as from 250, in both ways of counting only here.
    expect(nearestRatio([1000, 250], 500)).toBe(250);
  });

  test('maximum drive goes down only', () => {
    const { profile, row, needsConfirmation } = converted(
      { maxDrive: 799 },
      { maxDrive: { min: 300, max: 1000, step: 100 } },
    );
    expect(profile.maxDrive).toBe(700);
    expect(row('maxDrive')).toMatchObject({ what: 'rounded', from: 799, to: 700, severity: 'major' });
    expect(needsConfirmation).toBe(false);
  });

  test('minimum drive gives way to a lower limit', () => {
    const { profile, row } = converted(
      { minDrive: 300, maxDrive: 390 },
      { maxDrive: { min: 100, max: 1000, step: 100 }, minDrive: { min: 0, max: 600, step: 20 } },
    );
    expect([profile.minDrive, profile.maxDrive]).toEqual([240, 300]);
    expect(row('minDrive').what).toBe('clamped');
  });
});

describe('what a unit cannot do', () => {
  test('a unit that cannot limit is a matter of safety', () => {
    const { profile, row, needsConfirmation } = converted({ maxDrive: 600 }, { maxDrive: null });
    expect(profile.maxDrive).toBe(1000);
    expect(row('maxDrive')).toMatchObject({ what: 'lost', from: 600, to: 1000, severity: 'safety' });
    expect(needsConfirmation).toBe(true);
    expect(converted({ maxDrive: 1000 }, { maxDrive: null }).needsConfirmation).toBe(false);
  });

  test('so is one that cannot limit so far', () => {
    const { row, needsConfirmation } = converted({ maxDrive: 400 }, { maxDrive: { min: 500, max: 1000, step: 10 } });
    expect(row('maxDrive')).toMatchObject({ what: 'clamped', to: 500, severity: 'safety' });
    expect(needsConfirmation).toBe(true);
  });

  test('drag only while closing is switched off where it would work both ways', () => {
    const both = { strength: { min: 0, max: 1000, step: 1 }, zone: { min: 0, max: 1000, step: 1 }, closingOnly: false };
    const drag = { strength: 400, zoneFrom: 100, zoneTo: 500, closingOnly: true };
    const { profile, row } = converted({ drag }, { drag: both });
    expect(profile.drag).toEqual({ ...drag, strength: 0, closingOnly: false });
    expect(row('drag.strength')).toMatchObject({ what: 'lost', from: 400, to: 0 });
    expect(row('drag.closingOnly')).toMatchObject({ what: 'lost', from: true, to: false });
  });

  test('a brake that cannot be switched off is put where the trigger counts as released', () => {
    const always = {
      strength: { min: 100, max: 1000, step: 1 },
      zone: { min: 0, max: 1000, step: 1 },
      closingOnly: false,
    };
    const drag = { strength: 400, zoneFrom: 100, zoneTo: 500, closingOnly: true };
    const { profile } = converted({ drag }, { drag: always });
    expect(profile.drag).toEqual({ strength: 100, zoneFrom: 0, zoneTo: 0, closingOnly: false });
    expect(offShort(profile, 0.3, false)).toBe(0);
  });

  test('what had no effect is lost without being felt', () => {
    const drag = { strength: 400, zoneFrom: 100, zoneTo: 500, closingOnly: false };
    const { row } = converted({ drag, rectify: 'sync' }, { drag: null });
    expect(row('drag.strength')).toMatchObject({ what: 'lost', size: 0, severity: 'none' });
  });

  test('decay and off-time braking become the first the unit has, which is major', () => {
    const { profile, row } = converted({ decay: 'fast' }, { decay: ['slow'], rectify: ['sync'] });
    expect([profile.decay, profile.rectify]).toEqual(['slow', 'sync']);
    expect(row('decay')).toMatchObject({ what: 'lost', severity: 'major' });
    expect(row('rectify')).toMatchObject({ what: 'lost', severity: 'major' });
  });

  test('a frequency nobody knows is said to be unknown', () => {
    expect(converted({}, { pwmHz: null }).row('pwmHz')).toMatchObject({ what: 'lost', to: null, size: null });
  });
});

describe('curves', () => {
  test('a table holds the curve at equal distances, rounded with ties down', () => {
    // Shape 50 has k = 8^0.5; C(u) = k u / (1 + (k - 1) u), worked out apart: 0, 0.485, 0.739, 0.895, 1.
    const { table, profile, row } = converted(
      { curve: { kind: 'shape', shape: 50 } },
      { curve: { kind: 'table', n: 5, yStep: 10 } },
    );
    expect(table).toEqual([0, 490, 740, 890, 1000]);
    expect(profile.curve).toEqual({
      kind: 'points',
      points: [
        [0, 0],
        [250, 490],
        [500, 740],
        [750, 890],
        [1000, 1000],
      ],
    });
    expect(row('curve').what).toBe('approximated');
    expect(row('curve').curveError?.largestPoints).toBeGreaterThan(1);
  });

  test('a straight line in a table stays the profile’s own curve', () => {
    const { table, profile, row } = converted({}, { curve: { kind: 'table', n: 11, yStep: 50 } });
    expect(table).toEqual([0, 100, 200, 300, 400, 500, 600, 700, 800, 900, 1000]);
    expect(profile.curve).toEqual({ kind: 'shape', shape: 0 });
    expect(row('curve').what).toBe('exact');
  });

  test('a table takes the part of missing minimum and maximum drive', () => {
    const { table, profile, report, needsConfirmation } = converted(
      { minDrive: 100, maxDrive: 715 },
      { minDrive: null, maxDrive: null, curve: { kind: 'table', n: 5, yStep: 20 } },
    );
    // From 100 to 715 rounded down to 700, steps of 150, each to the nearest 20 and ties down.
    expect(table).toEqual([100, 240, 400, 540, 700]);
    expect([profile.minDrive, profile.maxDrive]).toEqual([100, 700]);
    expect(report.filter(({ what }) => what === 'folded').map(({ field }) => field)).toEqual(['minDrive', 'maxDrive']);
    expect(needsConfirmation).toBe(false);
  });

  test('a table with more entries than a profile has points comes with the nearest curve', () => {
    const { table, profile } = converted(
      { curve: { kind: 'shape', shape: -80 } },
      { curve: { kind: 'table', n: 33, yStep: 5 } },
    );
    expect(table).toHaveLength(33);
    const kept = valueOf(profile.curve);
    for (const [k, entry] of (table ?? []).entries()) expect(Math.abs(1000 * kept(k / 32) - entry)).toBeLessThan(12);
  });

  test('points become the number with the least squares', () => {
    const steps = { min: -100, max: 100, step: 5 };
    for (const shape of [-100, -35, 0, 60, 100]) expect(fitShape(shapeCurve(shape).value, steps)).toBe(shape);
    // Between two allowed numbers the nearer in squares wins; all sums are worked out here anew.
    const points = valueOf({
      kind: 'points',
      points: [
        [0, 0],
        [300, 600],
        [1000, 1000],
      ],
    });
    const squares = (shape: number) => {
      let sum = 0;
      for (let i = 0; i <= 100; i++) sum += (shapeCurve(shape).value(i / 100) - points(i / 100)) ** 2;
      return sum;
    };
    const chosen = fitShape(points, steps);
    for (let shape = -100; shape <= 100; shape += 5) expect(squares(chosen)).toBeLessThanOrEqual(squares(shape));
  });

  test('more points come nearer', () => {
    fc.assert(
      fc.property(anyProfile, ({ curve }) => {
        const value = valueOf(curve);
        const rms = [2, 5, 9].map((most) => {
          const points = fitPoints(value, most);
          return curveErrorOf(value, valueOf({ kind: 'points', points }), 1000).rmsPoints;
        });
        expect(rms[2]).toBeLessThanOrEqual((rms[0] as number) + 1e-9);
        expect(rms[2]).toBeLessThan(6);
      }),
      { numRuns: 200 },
    );
  });

  test('a unit with a straight line only loses the curve', () => {
    const { profile, row } = converted({ curve: { kind: 'shape', shape: 70 } }, { curve: null });
    expect(profile.curve).toEqual({ kind: 'shape', shape: 0 });
    expect(row('curve')).toMatchObject({ what: 'lost', severity: 'major' });
  });
});

describe('a chopped brake at another frequency', () => {
  test('brakes as the project’s two simulations of it agree', () => {
    // Own figures from brute force over single periods, not an outside source: 47, 37 and 16 % of a full brake.
    expect(brakingAt(500, 200, 'slow') / 10).toBeCloseTo(47, -0.3);
    expect(brakingAt(500, 1000, 'slow') / 10).toBeCloseTo(37, -0.3);
    expect(brakingAt(500, 5000, 'slow') / 10).toBeCloseTo(16, -0.3);
  });

  test('is told of where the frequency moves', () => {
    const { row } = converted({ brakeFull: 500, pwmHz: 200 }, { pwmHz: { list: [1000, 5000] } });
    expect(row('pwmHz').brakeEffects).toEqual([
      { setting: 'brakeFull', from: expect.any(Number), to: expect.any(Number) },
    ]);
    expect(converted({ pwmHz: 200 }, { pwmHz: { list: [1000] } }).row('pwmHz').brakeEffects).toBeUndefined();
  });
});
