import fc from 'fast-check';
import type { Steps, UnitCurve, UnitSheet } from '../../server/profiles/convert/sheet.ts';
import { readSheet } from '../../server/profiles/convert/sheet-schema.ts';
import { ranges } from '../../server/profiles/model/profile.ts';

type Range = readonly [number, number];

const steps = ([least, most]: Range): fc.Arbitrary<Steps> =>
  fc
    .tuple(
      fc.integer({ min: least, max: most }),
      fc.integer({ min: least, max: most }),
      fc.integer({ min: 1, max: 120 }),
    )
    .map(([a, b, step]) => ({ min: Math.min(a, b), max: Math.max(a, b), step }));

const orNull = <T>(arbitrary: fc.Arbitrary<T>) => fc.option(arbitrary, { freq: 4 });

const unitCurve: fc.Arbitrary<UnitCurve> = fc.oneof(
  steps(ranges.shape).map((range) => ({ kind: 'number' as const, ...range })),
  fc.record({
    kind: fc.constant('table' as const),
    n: fc.integer({ min: 2, max: 40 }),
    yStep: fc.integer({ min: 1, max: 100 }),
  }),
  fc.record({ kind: fc.constant('points' as const), max: fc.integer({ min: 2, max: 9 }) }),
  fc.constant({ kind: 'any' as const }),
);

/** Any sheet that can be kept. */
export const anySheet: fc.Arbitrary<UnitSheet> = fc
  .record({
    minDrive: orNull(steps(ranges.minDrive)),
    maxDrive: orNull(steps(ranges.maxDrive)),
    releaseBand: orNull(steps(ranges.releaseBand)),
    rampUpMs: orNull(steps(ranges.rampUpMs)),
    brakeFull: orNull(steps(ranges.brakeFull)),
    drag: orNull(
      fc.record({ strength: steps(ranges.dragStrength), zone: steps(ranges.dragZone), closingOnly: fc.boolean() }),
    ),
    pwmHz: orNull(
      fc.record({
        list: fc
          .uniqueArray(fc.integer({ min: 200, max: 5000 }), { minLength: 1, maxLength: 8 })
          .map((list) => list.sort((a, b) => a - b)),
      }),
    ),
    decay: fc.uniqueArray(fc.constantFrom('slow' as const, 'fast' as const), { minLength: 1 }),
    rectify: fc.uniqueArray(fc.constantFrom('async' as const, 'sync' as const), { minLength: 1 }),
    curve: orNull(unitCurve),
  })
  .filter((sheet) => readSheet(sheet).ok);
