import { type Random, randomFrom } from '../../shared/random.ts';
import { exp, log, normalQuantile } from './repeatable.ts';

/**
 * Draws from distributions, repeatable to the last bit: the same seed and the same names give the same numbers on every
 * machine.
 */

/**
 * Random numbers that belong to a name: another order of names, or one name more, changes nothing of them.
 *
 * @param seed a whole number; only its lowest 32 bits matter
 */
export function randomFor(seed: number, name: string): Random {
  // FNV-1a (G. Fowler, L. C. Noll, K.-P. Vo) over the UTF-16 units of the name, begun from the seed.
  let hash = (0x811c9dc5 ^ Math.imul(seed | 0, 0x9e3779b1)) >>> 0;
  for (let i = 0; i < name.length; i += 1) hash = Math.imul(hash ^ name.charCodeAt(i), 0x01000193) >>> 0;
  return randomFrom(hash);
}

/** Evenly between 0 and 1, neither included. */
export const openUnit = (random: Random): number => (random.uint32() + 0.5) / 4294967296;

/** Normal, with mean 0 and standard deviation 1. */
export const normalDraw = (random: Random): number => normalQuantile(openUnit(random));

/**
 * Fills a list with standard normal numbers, one from each slice of equal probability, in random order: a Latin hypercube
 * sample (M. D. McKay, R. J. Beckman, W. J. Conover, Technometrics 21, 1979). Averages over it scatter less than over
 * independent numbers.
 */
export function fillNormals(random: Random, into: Float64Array): void {
  const n = into.length;
  for (let i = 0; i < n; i += 1) {
    const z = normalQuantile((i + openUnit(random)) / n);
    // Shuffled while it is filled, by the "inside-out" form of R. Durstenfeld's shuffle.
    const j = Math.floor(((random.uint32() + 0.5) / 4294967296) * (i + 1));
    into[i] = into[j] as number;
    into[j] = z;
  }
}

/**
 * Gamma with scale 1, by squeeze and rejection (G. Marsaglia, W. W. Tsang, ACM Trans. Math. Softw. 26, 2000).
 *
 * @param shape above 0
 */
export function gammaDraw(random: Random, shape: number): number {
  if (shape < 1) return gammaDraw(random, shape + 1) * exp(log(openUnit(random)) / shape);
  const d = shape - 1 / 3;
  const c = 1 / Math.sqrt(9 * d);
  for (;;) {
    const x = normalDraw(random);
    const root = 1 + c * x;
    if (root <= 0) continue;
    const v = root * root * root;
    const u = openUnit(random);
    const x2 = x * x;
    if (u < 1 - 0.0331 * x2 * x2 || log(u) < 0.5 * x2 + d * (1 - v + log(v))) return d * v;
  }
}

/** Beta, from two gammas. @param alpha above 0 @param beta above 0 */
export function betaDraw(random: Random, alpha: number, beta: number): number {
  const x = gammaDraw(random, alpha);
  const y = gammaDraw(random, beta);
  return x + y > 0 ? x / (x + y) : alpha / (alpha + beta);
}

/**
 * Number of tries up to and with the first success: from 1, geometric.
 *
 * @param unit evenly between 0 and 1, neither included
 * @param chance of a success, above 0 and below 1
 * @returns may be very large, never infinite for a chance above 1e-300
 */
export const geometricDraw = (unit: number, chance: number): number => 1 + Math.floor(log(unit) / log1m(chance));

/** ln(1 - x), also for small x. */
function log1m(x: number): number {
  return x < 1e-4 ? -x * (1 + x * (1 / 2 + x * (1 / 3 + x / 4))) : log(1 - x);
}
