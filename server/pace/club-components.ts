import type { ClubDesign } from './club-design.ts';
import { ClubSolver } from './club-solve.ts';
import { minimising } from './numeric/minimise.ts';
import type { Components } from './pace-fit.ts';

export type ComponentName = keyof Components;

/** What standard deviations are in most clubs: the middle of their priors, and where the search for them starts. */
export const usualComponents: Components = {
  a: 0.06,
  w: 0.02,
  q: 0.004,
  r: 0.006,
  de: 0.08,
  tau: 0.009,
  s: 0.015,
  g: 0.012,
};
const names = Object.keys(usualComponents) as ComponentName[];

/** Standard deviation of the log of a component around the usual: a factor of about two. */
const priorSd = 0.8;
/** No component goes further than this from the usual: at the edge it is as good as none, or everything. */
const furthest = 6;

export interface EstimateOptions {
  readonly start: Components;
  /** Components taken as 0: their part of the model is left out. */
  readonly off: readonly ComponentName[];
  /** Whether components are drawn towards the usual ones. Without, a club of few nights may get any. */
  readonly prior: boolean;
  /** Stops where a step would improve the criterion by less. */
  readonly tolerance: number;
  /** Of a search on nearly the same rows. */
  readonly inverseHessian?: Float64Array;
}

export interface Estimate {
  readonly components: Components;
  readonly inverseHessian: Float64Array;
}

/**
 * Components by restricted maximum likelihood, times a log-normal prior around the usual values.
 * Yields after each evaluation of the criterion.
 */
export function* estimating(
  design: ClubDesign,
  psi: Float64Array,
  { start, off, prior, tolerance, inverseHessian }: EstimateOptions,
): Generator<number, Estimate> {
  const free = names.filter((name) => !off.includes(name));
  const solver = new ClubSolver(design, psi);
  const at = (logs: Float64Array) => componentsOf(free, logs);
  const objective = (logs: Float64Array) => {
    let penalty = 0;
    for (const [i, name] of free.entries()) {
      const away = (logs[i] as number) - Math.log(usualComponents[name]);
      if (Math.abs(away) > furthest) return Number.POSITIVE_INFINITY;
      if (prior) penalty += (away / priorSd) ** 2;
    }
    return solver.criterion(at(logs)) + penalty;
  };
  const found = yield* minimising(
    objective,
    free.map((name) => Math.log(start[name])),
    { tolerance, step: 1e-5, maxEvaluations: 400, ...(inverseHessian ? { inverseHessian } : { curvatureStep: 0.1 }) },
  );
  return { components: at(found.x), inverseHessian: found.inverseHessian };
}

function componentsOf(free: readonly ComponentName[], logs: Float64Array): Components {
  const none = { a: 0, w: 0, q: 0, r: 0, de: 0, tau: 0, s: 0, g: 0 };
  return { ...none, ...Object.fromEntries(free.map((name, i) => [name, Math.exp(logs[i] as number)])) };
}
