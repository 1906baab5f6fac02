import { drained } from '../shared/drained.ts';
import { type Attendance, attendanceOf } from './attendance.ts';
import { type ComponentName, estimating, usualComponents } from './club-components.ts';
import { type ClubDesign, designingClub } from './club-design.ts';
import { type ClubSolution, ClubSolver, residuals } from './club-solve.ts';
import type { HeatRow } from './heat-row.ts';
import type { DriverRow } from './lap-row.ts';
import type { Components } from './pace-fit.ts';

export interface ClubOptions {
  /** Nights each driver attended, where rows do not tell all of them. */
  readonly attendance?: Attendance;
  /** Components known already; else they are estimated. */
  readonly components?: Components;
  /** Where the search for components starts. */
  readonly start?: Components;
  /** Parts left out. Without `learning` juniors do not learn, without `g` the track stays as it is over a night. */
  readonly off?: readonly ComponentName[];
  readonly prior?: boolean;
  /** Whether heats much slower than a driver's others count less. */
  readonly robust?: boolean;
  readonly tolerance?: number;
}

/** A fitted club, in memory: `predictLevels` asks it. */
export interface ClubModel {
  readonly design: ClubDesign;
  readonly solution: ClubSolution;
  readonly components: Components;
  readonly attendance: Attendance;
  readonly drivers: readonly DriverRow[];
  /** Weight of each row of the design beside its variance. */
  readonly psi: Float64Array;
}

/** Components are estimated from this many latest nights: more would cost time and tell of a club that has changed. */
const nightsForComponents = 16;
/** Heats further back than this many of a driver's nights say nothing of his pace that later ones do not. */
const nightsOfDriver = 120;
/** Evaluations a search for components takes, about: for reports of progress only. */
const usualEvaluations = 110;

/**
 * Fits the club model: a Gaussian linear mixed model of heats with restricted maximum likelihood.
 *
 *     log pace = class + track + lane + junior (gap + learning e) - drift f + grip of the night - drift of the night f
 *              + ability of the driver, which walks from night to night + driver in class + form of the night + heat + laps
 *
 * with e falling with nights attended and f rising over a night. Yields the share done.
 */
export function* fittingClub(
  rows: readonly HeatRow[],
  drivers: readonly DriverRow[],
  options: ClubOptions = {},
): Generator<number, ClubModel> {
  const { off = [], prior = true, robust = true, tolerance = 1e-2 } = options;
  const attendance = options.attendance ?? attendanceOf(rows);
  const terms = { learning: !off.includes('de'), drift: !off.includes('g') };
  const kept = lastNightsOfDrivers(rows, attendance);
  const design = yield* silent(designingClub(kept, drivers, terms, attendance), 0.01);

  let components = options.components ?? usualComponents;
  if (options.components === undefined && design.rows.length > 0) {
    const latest = lastNights(design.rows);
    const recent = yield* silent(designingClub(latest, drivers, terms, attendance), 0.04);
    const even = ones(recent.rows.length);
    const search = { start: options.start ?? usualComponents, off, prior, tolerance };
    const first = yield* sharing(estimating(recent, even, search), usualEvaluations, 0.05, robust ? 0.6 : 0.8);
    components = first.components;
    if (robust) {
      const solution = yield* solved(recent, even, components, 0.6, 0.62);
      const again = { ...search, start: components, inverseHessian: first.inverseHessian };
      const second = estimating(recent, weights(recent, solution), again);
      components = (yield* sharing(second, usualEvaluations, 0.62, 0.8)).components;
    }
  }
  let psi: Float64Array = ones(design.rows.length);
  let solution = yield* solved(design, psi, components, 0.8, 0.87);
  const rounds = robust ? (options.components === undefined ? 2 : 1) : 0;
  for (let round = 0; round < rounds; round++) {
    psi = weights(design, solution);
    solution = yield* solved(design, psi, components, 0.87 + 0.065 * round, 0.935 + 0.065 * round);
  }
  return { design, solution, components, attendance, drivers, psi };
}

/** `fittingClub` without a pause. */
export const fitClub = (
  rows: readonly HeatRow[],
  drivers: readonly DriverRow[],
  options: ClubOptions = {},
): ClubModel => drained(fittingClub(rows, drivers, options));

function solved(design: ClubDesign, psi: Float64Array, components: Components, from: number, to: number) {
  return sharing(counted(new ClubSolver(design, psi).solving(components)), design.blocks.length, from, to);
}

function* counted<T>(steps: Generator<void, T>): Generator<number, T> {
  for (let count = 1; ; count++) {
    const step = steps.next();
    if (step.done) return step.value;
    yield count;
  }
}

/** Passes a part on whose steps tell nothing of how far it is. */
function* silent<T>(steps: Generator<void, T>, share: number): Generator<number, T> {
  let step = steps.next();
  for (; !step.done; step = steps.next()) yield share;
  return step.value;
}

/** Passes counts of steps on as shares of the whole. */
function* sharing<T>(steps: Generator<number, T>, usual: number, from: number, to: number): Generator<number, T> {
  let step = steps.next();
  while (!step.done) {
    yield from + (to - from) * Math.min(1, step.value / usual);
    step = steps.next();
  }
  return step.value;
}

const ones = (count: number) => new Float64Array(count).fill(1);

/**
 * Weight of a heat by how far it is off what the driver drives: slow ones lose weight, as by a t distribution with six
 * degrees of freedom; fast ones keep it, because nobody drives fast by mischance.
 *
 * @param residual in log pace, above 0 slow
 * @param variance of a heat
 */
export function heatWeight(residual: number, variance: number): number {
  return residual > 0 ? 7 / (6 + residual ** 2 / variance) : 1;
}

function weights(design: ClubDesign, solution: ClubSolution): Float64Array {
  const tau2 = solution.components.tau ** 2;
  return residuals(design, solution).map((residual, j) => heatWeight(residual, tau2 + (design.v[j] as number)));
}

function lastNights(rows: readonly HeatRow[]): readonly HeatRow[] {
  const nights = [...new Set(rows.map(({ night }) => night))].sort((a, b) => a - b);
  const first = nights.at(-nightsForComponents) ?? nights[0];
  return first === undefined ? rows : rows.filter(({ night }) => night >= first);
}

function lastNightsOfDrivers(rows: readonly HeatRow[], attendance: Attendance): readonly HeatRow[] {
  const first = new Map([...attendance].map(([driver, nights]) => [driver, nights.at(-nightsOfDriver) ?? nights[0]]));
  return rows.filter(({ driver, night }) => night >= (first.get(driver) ?? Number.NEGATIVE_INFINITY));
}
