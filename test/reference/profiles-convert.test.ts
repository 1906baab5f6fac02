import { readFileSync } from 'node:fs';
import path from 'node:path';
import { describe, expect, test } from 'vitest';
import { curveErrorOf, fitShape } from '../../server/profiles/convert/curve-fit.ts';
import { shapeCurve } from '../../server/profiles/model/curve.ts';

type Fit = { min: number; max: number; step: number; shape: number; squares: number };
type Curve = { kind: string; g?: number; a?: number; b?: number; y: number[]; fits: Fit[] };

// Source: NumPy 2.4.6 and SciPy 1.17.1 by data/controller/shape-fits.py, over powers and incomplete beta functions.
const { curves }: { curves: Curve[] } = JSON.parse(
  readFileSync(path.join(import.meta.dirname, 'data/controller/shape-fits.json'), 'utf8'),
);

describe.each(curves)('the one number nearest to a curve: $kind $g $a $b', ({ y, fits }) => {
  const value = (u: number) => y[Math.round(100 * u)] as number;

  test.each(fits)('from $min to $max by $step is $shape', ({ shape, squares, ...steps }) => {
    expect(fitShape(value, steps)).toBe(shape);
    const { rmsPoints } = curveErrorOf(value, shapeCurve(shape).value, 1000);
    expect(rmsPoints).toBeCloseTo(100 * Math.sqrt(squares / 101), 6);
  });
});
