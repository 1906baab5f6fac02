import type { Curve, CurvePoint } from './profile.ts';

/** A throttle curve C(u) on 0..1: C(0) = 0, C(1) = 1, never falling; and its slope C'(u). */
export interface CurveFunction {
  readonly value: (u: number) => number;
  readonly slope: (u: number) => number;
}

/** The curve of a profile as a function; made once, then called for every position. */
export function curveFunction(curve: Curve): CurveFunction {
  return curve.kind === 'shape' ? shapeCurve(curve.shape) : pointsCurve(curve.points);
}

/**
 * `k u / (1 + (k - 1) u)` with k = 8^(shape / 100): Schlick's bias function (Graphics Gems IV, 1994, from memory). It
 * needs neither power nor table on a small microcontroller, and the curve of -shape is its inverse.
 */
export function shapeCurve(shape: number): CurveFunction {
  const k = 8 ** (shape / 100);
  return {
    // The divisor is 1 + (k - 1) u, written so that full trigger gives 1 to the last bit.
    value: (u) => (k * u) / (k * u + (1 - u)),
    slope: (u) => k / (1 + (k - 1) * u) ** 2,
  };
}

/**
 * Monotone cubic Hermite interpolation after Fritsch and Carlson, SIAM J. Numer. Anal. 17 (1980) 238-246, in the form that
 * takes the mean of neighbouring secants and pulls slopes into a circle of radius 3, from left to right. It is written out
 * because library routines named after it mostly use the weighted harmonic mean of 1984, which differs by up to 1.6 points
 * of duty on a curve with a flat and a steep part.
 *
 * @param points at least two, in any unit in which the last is [1000, 1000]
 */
export function pointsCurve(points: readonly CurvePoint[]): CurveFunction {
  const x = points.map(([at]) => at / 1000);
  const y = points.map(([, drive]) => drive / 1000);
  return hermite(x, y, monotoneSlopes(x, y));
}

/**
 * The cubic Hermite interpolant through (x, y) with these slopes, on [first x, last x]; x rising, y never falling. A value
 * never leaves the two points around it.
 */
export function hermite(x: readonly number[], y: readonly number[], slopes: readonly number[]): CurveFunction {
  const at = (u: number) => {
    let i = 0;
    while (i < x.length - 2 && u >= (x[i + 1] as number)) i++;
    const [x0, x1] = [x[i], x[i + 1]] as [number, number];
    const h = x1 - x0;
    return {
      h,
      t: (u - x0) / h,
      y0: y[i] as number,
      y1: y[i + 1] as number,
      m0: slopes[i] as number,
      m1: slopes[i + 1] as number,
    };
  };
  return {
    value(u) {
      const { h, t, y0, y1, m0, m1 } = at(u);
      const s = 1 - t;
      const bend = t * s * h * (s * m0 - t * m1);
      // Reckoned from the nearer point, so that both points are met and a level stretch is level, to the last bit.
      const value =
        t < 1 / 2 ? y0 + (y1 - y0) * t * t * (3 - 2 * t) + bend : y1 - (y1 - y0) * s * s * (3 - 2 * s) + bend;
      return Math.min(y1, Math.max(y0, value));
    },
    slope(u) {
      const { h, t, y0, y1, m0, m1 } = at(u);
      const s = 1 - t;
      return (6 * t * s * (y1 - y0)) / h + s * (1 - 3 * t) * m0 + t * (3 * t - 2) * m1;
    },
  };
}

/** Slopes at the points, by the rule of {@link pointsCurve}. */
export function monotoneSlopes(x: readonly number[], y: readonly number[]): number[] {
  const secants = x.slice(1).map((next, i) => ((y[i + 1] as number) - (y[i] as number)) / (next - (x[i] as number)));
  const last = secants.length - 1;
  const slopes = x.map((_, i) => {
    if (i === 0) return secants[0] as number;
    if (i > last) return secants[last] as number;
    const [before, after] = [secants[i - 1], secants[i]] as [number, number];
    return before * after <= 0 ? 0 : (before + after) / 2;
  });
  secants.forEach((secant, i) => {
    if (secant === 0) {
      slopes[i] = 0;
      slopes[i + 1] = 0;
      return;
    }
    const a = (slopes[i] as number) / secant;
    const b = (slopes[i + 1] as number) / secant;
    const size = a * a + b * b;
    if (size <= 9) return;
    const t = 3 / Math.sqrt(size);
    slopes[i] = t * a * secant;
    slopes[i + 1] = t * b * secant;
  });
  return slopes;
}
