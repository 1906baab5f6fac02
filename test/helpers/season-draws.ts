import type { Random } from '../../server/shared/random.ts';

/** Seconds lost: 4.5 on average, one in twenty-five a long search under the bridge. */
export const lossOf = (random: Random) =>
  random.unit() < 0.04 ? 9 + 14 * random.unit() : 1.2 + (3 / 3.5) * gamma(random, 3.5);

/** Gamma with scale 1, for a shape of whole and half numbers: sums of exponential numbers and half a squared normal one. */
export function gamma(random: Random, shape: number): number {
  let sum = 0;
  for (let i = 1; i <= shape; i++) sum -= Math.log(1 - random.unit());
  return shape % 1 === 0.5 ? sum + random.normal() ** 2 / 2 : sum;
}

/** Student's t, scaled to a standard deviation of 1. @param df a whole number above 2 */
export const student = (random: Random, df: number) =>
  (random.normal() / Math.sqrt((2 * gamma(random, df / 2)) / df)) * Math.sqrt((df - 2) / df);

/** Standard deviation: the square root of 2. */
export function laplace(random: Random): number {
  const u = random.unit() - 0.5;
  return -Math.sign(u) * Math.log(1 - 2 * Math.abs(u));
}

export function centred(x: readonly number[]): number[] {
  const mean = x.reduce((sum, value) => sum + value, 0) / x.length;
  return x.map((value) => value - mean);
}

export function shuffled<T>(random: Random, list: readonly T[]): T[] {
  const order = [...list];
  for (let i = order.length - 1; i > 0; i--) {
    const j = Math.floor(random.unit() * (i + 1));
    [order[i], order[j]] = [order[j] as T, order[i] as T];
  }
  return order;
}
