import { groupBy } from '../shared/group-by.ts';
import { cholesky, dot, NotPositiveDefinite, solve, solveLower } from './numeric/matrix.ts';
import {
  leastMoreHeats,
  type Setting,
  type SettingEffect,
  settingVerdict,
  smallestWorthKnowing,
} from './setting-effect.ts';
import { z90 } from './told-range.ts';

/** A heat to compare: its pace with everything taken off that is known. */
export interface ComparedHeat {
  readonly setting: Setting;
  /** Only heats with the same words here are compared: class, track, car. */
  readonly within: string;
  readonly pace: number;
}

/** Log pace of b less a, and its variance. */
export interface Difference {
  readonly effect: number;
  readonly variance: number;
}

/**
 * Difference of two settings by generalised least squares (A. C. Aitken, Proc. R. Soc. Edinburgh 55, 1935, 42-48): one level
 * for each `within`, and what b adds. Heats of one night share its form and grip in `covariance`, so they are compared with
 * each other first; heats of different nights count as far as they tell more.
 *
 * @param covariance of the paces of heats i and j; positive definite
 * @returns null where nothing was driven with both settings
 */
export function settingDifference(
  heats: readonly ComparedHeat[],
  covariance: (i: number, j: number) => number,
): Difference | null {
  const places = [...groupBy([...heats.keys()], (i) => (heats[i] as ComparedHeat).within).values()]
    .filter((some) => new Set(some.map((i) => heats[i]?.setting)).size === 2)
    .map((some) => new Set(some));
  const used = [...heats.keys()].filter((i) => places.some((some) => some.has(i)));
  const n = used.length;
  if (n === 0) return null;
  const l = new Float64Array(n * n);
  for (let i = 0; i < n; i++)
    for (let j = 0; j <= i; j++) l[i * n + j] = covariance(used[i] as number, used[j] as number);
  const columns = [
    ...places.map((some) => Float64Array.from(used, (i) => (some.has(i) ? 1 : 0))),
    Float64Array.from(used, (i) => (heats[i]?.setting === 'b' ? 1 : 0)),
  ];
  const pace = Float64Array.from(used, (i) => (heats[i] as ComparedHeat).pace);
  try {
    cholesky(l, n);
    for (const column of [...columns, pace]) solveLower(l, n, column);
    const p = columns.length;
    const gram = Float64Array.from({ length: p * p }, (_, at) =>
      dot(columns[Math.floor(at / p)] as Float64Array, columns[at % p] as Float64Array, n),
    );
    const rhs = Float64Array.from(columns, (column) => dot(column, pace, n));
    const last = new Float64Array(p);
    last[p - 1] = 1;
    cholesky(gram, p);
    solve(gram, p, rhs);
    solve(gram, p, last);
    return { effect: rhs[p - 1] as number, variance: last[p - 1] as number };
  } catch (error) {
    if (error instanceof NotPositiveDefinite) return null;
    throw error;
  }
}

export interface ToldBy {
  readonly heats: SettingEffect['heats'];
  /** Seconds of a lap with a. */
  readonly lapS: number;
  /** Variance of one more heat. */
  readonly perHeat: number;
}

/** A difference as drivers are told of it; null: nothing can be compared. */
export function toldEffect(difference: Difference | null, { heats, lapS, perHeat }: ToldBy): SettingEffect {
  /** Heats with each setting on one night add m / (2 perHeat) to what is known, which is 1 / variance. */
  const moreFor = (half: number, known: number) =>
    Math.max(leastMoreHeats, Math.ceil(((z90 / half) ** 2 - known) * 2 * perHeat));
  if (difference === null) {
    const nothing = { effect: 0, interval: null, secondsPerLap: 0, verdict: 'notEnoughLaps', heats } as const;
    return { ...nothing, moreHeatsEach: moreFor(smallestWorthKnowing, 0) };
  }
  const { effect, variance } = difference;
  const half = z90 * Math.sqrt(variance);
  const verdict = settingVerdict(effect, half, smallestWorthKnowing);
  return {
    effect,
    interval: { low: effect - half, high: effect + half },
    secondsPerLap: lapS * Math.expm1(effect),
    verdict,
    moreHeatsEach:
      verdict === 'notEnoughLaps' ? moreFor(Math.max(smallestWorthKnowing, Math.abs(effect)), 1 / variance) : 0,
    heats,
  };
}
