import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { curveFunction, pointsCurve, shapeCurve } from '../../server/profiles/model/curve.ts';
import { type CurveRow, curveRows, throttleOf } from '../../server/profiles/model/duty.ts';
import { type CurvePoint, defaultTuning, ranges, type Tuning } from '../../server/profiles/model/profile.ts';
import { anyPoints, anyTuning } from '../helpers/tunings.ts';

const tuned = (changes: Partial<Tuning>): Tuning => ({ ...defaultTuning, ...changes });
const shapes = fc.integer({ min: ranges.shape[0], max: ranges.shape[1] });
const share = fc.double({ min: 0, max: 1, noNaN: true });
const upTo = (n: number) => Array.from({ length: n + 1 }, (_, i) => i / n);

/** How far values fall from one to the next at most. */
const largestFall = (values: readonly number[]) =>
  values.reduce((most, value, i) => Math.max(most, i === 0 ? 0 : (values[i - 1] as number) - value), 0);

describe('a curve given by its shape', () => {
  // k / (1 + k) with k = 8^(shape/100), by hand: 1/9, 1/(1 + sqrt 8), 1/2, sqrt 8/(1 + sqrt 8), 8/9.
  it.each([
    [-100, 1 / 9],
    [-50, 1 / (1 + Math.sqrt(8))],
    [0, 1 / 2],
    [50, Math.sqrt(8) / (1 + Math.sqrt(8))],
    [100, 8 / 9],
  ])('shape %i gives at half trigger %f', (shape, half) => {
    expect(shapeCurve(shape).value(1 / 2)).toBeCloseTo(half, 14);
  });

  it('starts with slope k, ends with 1/k, and its ends are exact', () => {
    fc.assert(
      fc.property(shapes, (shape) => {
        const { value, slope } = shapeCurve(shape);
        const k = 8 ** (shape / 100);
        expect(slope(0)).toBeCloseTo(k, 12);
        expect(slope(1)).toBeCloseTo(1 / k, 12);
        expect([value(0), value(1)]).toEqual([0, 1]);
      }),
    );
  });

  it('is undone by the opposite shape', () => {
    fc.assert(
      fc.property(shapes, share, (shape, u) => {
        expect(shapeCurve(-shape).value(shapeCurve(shape).value(u))).toBeCloseTo(u, 12);
      }),
    );
  });

  it('after another is a shape again: their k multiply', () => {
    const small = fc.integer({ min: -50, max: 50 });
    fc.assert(
      fc.property(small, small, share, (a, b, u) => {
        expect(shapeCurve(b).value(shapeCurve(a).value(u))).toBeCloseTo(shapeCurve(a + b).value(u), 12);
      }),
    );
  });
});

describe('any curve', () => {
  const anyCurve = fc.oneof(shapes.map(shapeCurve), anyPoints.map(pointsCurve));

  it('of points never falls, stays within its ends and goes through its points: 20 000 sets', () => {
    const positions = upTo(200);
    let sets = 0;
    fc.assert(
      fc.property(anyPoints, (points) => {
        const { value } = pointsCurve(points);
        const values = positions.map(value);
        if (largestFall(values) > 0 || values[0] !== 0 || values.at(-1) !== 1) throw new Error(`falls: ${values}`);
        if (largestFall(values.map((y) => Math.round(1000 * y))) > 0) throw new Error('falls in permille');
        for (const [x, y] of points) if (Math.abs(value(x / 1000) - y / 1000) > 1e-12) throw new Error(`misses ${x}`);
        sets++;
      }),
      { numRuns: 20_000 },
    );
    expect(sets).toBe(20_000);
  }, 60_000);

  it('does not fall between positions as close as can be, but for the last bits', () => {
    fc.assert(
      fc.property(anyCurve, share, share, ({ value }, u, v) => {
        const [low, high] = [Math.min(u, v), Math.max(u, v)];
        expect(value(low)).toBeLessThanOrEqual(value(high) + 4 * Number.EPSILON);
        expect(value(u)).toBeGreaterThanOrEqual(0);
        expect(value(u)).toBeLessThanOrEqual(1);
      }),
      { numRuns: 5000 },
    );
  });

  it('has the slope that its values have', () => {
    const h = 1e-6;
    fc.assert(
      fc.property(anyCurve, fc.integer({ min: 1, max: 1999 }), ({ value, slope }, n) => {
        const u = n / 2000;
        const numeric = (value(u + h) - value(u - h)) / (2 * h);
        // At a point of the curve the second derivative jumps: the error of the difference grows to h times the jump.
        expect(Math.abs(slope(u) - numeric)).toBeLessThan(5e-3 + 1e-6 * Math.abs(numeric));
        expect(slope(u)).toBeGreaterThanOrEqual(-1e-9);
      }),
      { numRuns: 5000 },
    );
  });

  it('is straight with two points, and flat where two points are level', () => {
    const straight = curveFunction({
      kind: 'points',
      points: [
        [0, 0],
        [1000, 1000],
      ],
    });
    for (const u of upTo(97)) {
      expect(straight.value(u)).toBeCloseTo(u, 14);
      expect(straight.slope(u)).toBeCloseTo(1, 12);
    }
    const step: CurvePoint[] = [
      [0, 0],
      [300, 400],
      [700, 400],
      [1000, 1000],
    ];
    const { value, slope } = pointsCurve(step);
    for (const u of upTo(40).map((part) => 0.3 + 0.4 * part)) {
      expect(value(u)).toBe(0.4);
      expect(slope(u)).toBeCloseTo(0, 12);
    }
  });
});

describe('trigger to duty', () => {
  it('is 0 up to the release band, the band included, and steps to minimum drive after it', () => {
    const { duty, slope, released } = throttleOf(tuned({ releaseBand: 20, minDrive: 80 }));
    expect([duty(0), duty(0.02), slope(0.02), released(0.02)]).toEqual([0, 0, 0, true]);
    expect(released(0.02 + 1e-12)).toBe(false);
    expect(duty(0.02 + 1e-12)).toBeCloseTo(0.08, 10);
    expect(duty(0.51)).toBeCloseTo(0.08 + 0.92 * 0.5, 12);
  });

  it('starts from 0 where there is no release band', () => {
    const { duty, released } = throttleOf(tuned({ releaseBand: 0, minDrive: 100 }));
    expect([duty(0), released(0)]).toEqual([0, true]);
    expect(duty(1e-12)).toBeCloseTo(0.1, 10);
  });

  it('reaches maximum drive exactly, never goes beyond, never falls', () => {
    fc.assert(
      fc.property(anyTuning, (tuning) => {
        const rows = curveRows(tuning);
        expect(rows).toHaveLength(201);
        expect(rows.at(-1)?.duty).toBe(tuning.maxDrive / 1000);
        expect(largestFall(rows.map(({ duty }) => duty))).toBeLessThanOrEqual(Number.EPSILON);
        const [a, b] = [tuning.minDrive / 1000, tuning.maxDrive / 1000];
        const isRight = ({ x, duty, slope }: CurveRow) =>
          x <= tuning.releaseBand / 1000 ? duty === 0 && slope === 0 : duty >= a && duty <= b && slope >= -1e-9;
        expect(rows.filter((row) => !isRight(row))).toEqual([]);
      }),
      { numRuns: 1000 },
    );
  });
});
