import { dot } from './matrix.ts';

export interface MinimiseOptions {
  /** Step of the difference quotients. */
  readonly step?: number;
  /** Done when a step is expected to win less than this. */
  readonly tolerance?: number;
  readonly maxEvaluations?: number;
  /** Two-sided difference quotients: twice the work, for results to many digits. */
  readonly central?: boolean;
  /** Where given, the curvature along each variable is measured at the start with steps of this size. */
  readonly curvatureStep?: number;
  /** Inverse of the matrix of second derivatives at the start, of a search for nearly the same minimum. */
  readonly inverseHessian?: Float64Array;
}

export interface Minimum {
  readonly x: Float64Array;
  readonly value: number;
  readonly evaluations: number;
  readonly inverseHessian: Float64Array;
}

/**
 * Minimises a smooth function of a few variables by the quasi-Newton method of Broyden, Fletcher, Goldfarb and Shanno with
 * difference quotients and halved steps (J. Nocedal, S. J. Wright, "Numerical Optimization", 2nd ed., ch. 6 and 8).
 * A function value that is not finite counts as very large. Yields the number of evaluations after each.
 */
export function* minimising(
  f: (x: Float64Array) => number,
  start: ArrayLike<number>,
  options: MinimiseOptions = {},
): Generator<number, Minimum> {
  const { step = 1e-5, tolerance = 1e-6, maxEvaluations = 400, central = false } = options;
  const n = start.length;
  let evaluations = 0;
  const value = (x: Float64Array) => {
    evaluations++;
    const result = f(x);
    return Number.isFinite(result) ? result : 1e300;
  };
  function* gradientAt(x: Float64Array, here: number): Generator<number, Float64Array> {
    const gradient = new Float64Array(n);
    for (let i = 0; i < n; i++) {
      const moved = x.slice();
      moved[i] = (x[i] as number) + step;
      const ahead = value(moved);
      yield evaluations;
      let behind = here;
      if (central) {
        moved[i] = (x[i] as number) - step;
        behind = value(moved);
        yield evaluations;
      }
      gradient[i] = (ahead - behind) / (central ? 2 * step : step);
    }
    return gradient;
  }

  function* diagonalAt(x: Float64Array, here: number, h: number): Generator<number, Float64Array> {
    const diagonal = new Float64Array(n * n);
    for (let i = 0; i < n; i++) {
      const moved = x.slice();
      moved[i] = (x[i] as number) + h;
      const ahead = value(moved);
      yield evaluations;
      moved[i] = (x[i] as number) - h;
      const behind = value(moved);
      yield evaluations;
      const curvature = (ahead - 2 * here + behind) / h ** 2;
      diagonal[i * n + i] = 1 / Math.max(curvature, 1);
    }
    return diagonal;
  }

  let x = Float64Array.from(start);
  let best = value(x);
  yield evaluations;
  let inverseHessian = options.inverseHessian?.slice() ?? identity(n);
  if (n === 0) return { x, value: best, evaluations, inverseHessian };
  let fresh = options.inverseHessian === undefined;
  if (fresh && options.curvatureStep !== undefined) {
    inverseHessian = yield* diagonalAt(x, best, options.curvatureStep);
    fresh = false;
  }
  let gradient = yield* gradientAt(x, best);
  while (evaluations < maxEvaluations) {
    const direction = times(inverseHessian, gradient, n).map((d) => -d);
    const slope = dot(direction, gradient, n);
    if (!(slope < -2 * tolerance)) break;
    // The first step knows no curvature: it goes a short way.
    let length = fresh ? Math.min(1, 0.3 / Math.sqrt(dot(direction, direction, n))) : 1;
    let next = x;
    let found = best;
    for (let tries = 0; tries < 25; tries++, length /= 2.5) {
      next = x.map((xi, i) => xi + length * (direction[i] as number));
      found = value(next);
      yield evaluations;
      if (found <= best + 1e-4 * length * slope) break;
    }
    if (!(found < best)) {
      if (fresh) break;
      // The picture of the curvature misled: begin anew with none.
      inverseHessian = identity(n);
      fresh = true;
      continue;
    }
    const nextGradient = yield* gradientAt(next, found);
    const s = next.map((xi, i) => xi - (x[i] as number));
    const y = nextGradient.map((gi, i) => gi - (gradient[i] as number));
    const curvature = dot(s, y, n);
    if (curvature > 1e-12) {
      if (fresh) inverseHessian = identity(n).map((entry) => (entry * curvature) / dot(y, y, n));
      updateInverse(inverseHessian, s, y, curvature, n);
      fresh = false;
    }
    x = next;
    best = found;
    gradient = nextGradient;
  }
  return { x, value: best, evaluations, inverseHessian };
}

function identity(n: number): Float64Array {
  const out = new Float64Array(n * n);
  for (let i = 0; i < n; i++) out[i * n + i] = 1;
  return out;
}

function times(matrix: Float64Array, x: Float64Array, n: number): Float64Array {
  return x.map((_, i) => dot(matrix, x, n, i * n));
}

/** H ← (I - s yᵀ/c) H (I - y sᵀ/c) + s sᵀ/c with c = sᵀy. */
function updateInverse(h: Float64Array, s: Float64Array, y: Float64Array, curvature: number, n: number): void {
  const hy = times(h, y, n);
  const scale = (1 + dot(y, hy, n) / curvature) / curvature;
  for (let i = 0; i < n; i++) {
    for (let j = 0; j < n; j++) {
      const [si, sj] = [s[i] as number, s[j] as number];
      const cross = ((hy[i] as number) * sj + si * (hy[j] as number)) / curvature;
      h[i * n + j] = (h[i * n + j] as number) + scale * si * sj - cross;
    }
  }
}
