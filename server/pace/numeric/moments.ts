/** Means and spreads that keep their digits when the numbers share many leading ones: centred, in two passes. */

/** Mean; NaN of nothing. The second pass takes back what rounding left (A. Neumaier 1974). */
export function mean(x: ArrayLike<number>): number {
  const first = sumOf(x, (value) => value) / x.length;
  return first + sumOf(x, (value) => value - first) / x.length;
}

/** Sum of squared deviations from the mean (corrected two-pass: T. F. Chan, G. H. Golub, R. J. LeVeque 1983). */
export function sumOfSquares(x: ArrayLike<number>, centre = mean(x)): number {
  const squares = sumOf(x, (value) => (value - centre) ** 2);
  const rest = sumOf(x, (value) => value - centre);
  return squares - rest ** 2 / x.length;
}

/** Standard deviation with n - 1 below; NaN of fewer than two. */
export function standardDeviation(x: ArrayLike<number>): number {
  return x.length < 2 ? Number.NaN : Math.sqrt(sumOfSquares(x) / (x.length - 1));
}

/** Correlation of each value with the one before it; NaN where all are equal. */
export function lag1Correlation(x: ArrayLike<number>): number {
  const centre = mean(x);
  let products = 0;
  for (let i = 1; i < x.length; i++) products += ((x[i - 1] as number) - centre) * ((x[i] as number) - centre);
  return products / sumOf(x, (value) => (value - centre) ** 2);
}

export interface OneWay {
  readonly dfBetween: number;
  readonly dfWithin: number;
  readonly ssBetween: number;
  readonly ssWithin: number;
  readonly f: number;
}

/** One-way analysis of variance of groups of values. */
export function oneWay(groups: readonly ArrayLike<number>[]): OneWay {
  const filled = groups.filter((group) => group.length > 0);
  const n = sumOf(filled, (group) => group.length);
  const means = filled.map(mean);
  // Of the differences to one of the means: so that the leading digits they share are gone before anything is squared.
  const origin = means[0] ?? 0;
  const shifts = means.map((m) => m - origin);
  const grand = sumOf(filled, (group, i) => group.length * (shifts[i] as number)) / n;
  const ssBetween = sumOf(filled, (group, i) => group.length * ((shifts[i] as number) - grand) ** 2);
  const ssWithin = sumOf(filled, (group, i) => sumOfSquares(group, means[i]));
  const dfBetween = filled.length - 1;
  const dfWithin = n - filled.length;
  return { dfBetween, dfWithin, ssBetween, ssWithin, f: ssBetween / dfBetween / (ssWithin / dfWithin) };
}

/** Quantile 0 <= p <= 1 of sorted numbers, between neighbours in proportion (type 7 of R. J. Hyndman, Y. Fan 1996). */
export function quantileOfSorted(x: ArrayLike<number>, p: number): number {
  const place = p * (x.length - 1);
  const below = Math.floor(place);
  const low = x[below] ?? Number.NaN;
  const high = x[Math.min(below + 1, x.length - 1)] ?? low;
  return low + (place - below) * (high - low);
}

export function median(x: ArrayLike<number>): number {
  return quantileOfSorted(Float64Array.from(x).sort(), 0.5);
}

/** Sum with the lost low-order digits carried along (A. Neumaier 1974). */
function sumOf<T>(x: ArrayLike<T>, term: (value: T, index: number) => number): number {
  let sum = 0;
  let carried = 0;
  for (let i = 0; i < x.length; i++) {
    const value = term(x[i] as T, i);
    const next = sum + value;
    carried += Math.abs(sum) >= Math.abs(value) ? sum - next + value : value - next + sum;
    sum = next;
  }
  return sum + carried;
}
