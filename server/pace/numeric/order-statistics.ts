import { normalCdf, normalDensity } from './normal.ts';

const span = 9;
const steps = 720;

/**
 * Expected mean of the k lowest of n independent standard normal numbers: n/k times the integral of x phi(x) P(at most k - 1
 * of the n - 1 others lie below x), by the trapezoidal rule, which is exact to rounding for such integrands.
 *
 * @param n from 1 to 1000 @param k from 1 to n
 */
export function meanOfLowest(n: number, k: number): number {
  if (!(Number.isInteger(n) && Number.isInteger(k) && k >= 1 && k <= n && n <= 1000))
    throw new RangeError(`${k} of ${n}`);
  const width = (2 * span) / steps;
  let sum = 0;
  for (let i = 0; i <= steps; i++) {
    const x = -span + i * width;
    sum += x * normalDensity(x) * atMost(k - 1, n - 1, normalCdf(x));
  }
  return (n / k) * sum * width;
}

/** Chance of at most `most` successes in `tries`. */
function atMost(most: number, tries: number, chance: number): number {
  if (chance <= 0 || most >= tries) return 1;
  if (chance >= 1) return 0;
  // Terms in the log, because the first ones of many tries are too small for a number.
  let log = tries * Math.log1p(-chance);
  let sum = Math.exp(log);
  for (let i = 1; i <= most; i++) {
    log += Math.log(((tries - i + 1) * chance) / (i * (1 - chance)));
    sum += Math.exp(log);
  }
  return Math.min(1, sum);
}
