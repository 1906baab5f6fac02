/**
 * What all searches by annealing share (Kirkpatrick, Gelatt, Vecchi, Science 220, 1983): a move that costs `delta` more
 * is taken with the chance e^(-delta / temperature), that is, if delta is at most temperature x an exponentially
 * distributed number.
 *
 * Those numbers come from a table that needs only sums and quotients, because Math.exp and Math.log differ in their last
 * bit between machines: the expected order statistics of N exponential numbers, E(i) = 1/N + 1/(N-1) + … + 1/(N-i+1)
 * (A. Rényi, Acta Math. Acad. Sci. Hung. 4, 1953).
 */
import type { Random } from '../../shared/random.ts';

const tableBits = 12;

const exponential = (() => {
  const size = 1 << tableBits;
  const table = new Float64Array(size);
  for (let i = 0, sum = 0; i < size; i++) {
    sum += 1 / (size - i);
    table[i] = sum;
  }
  return table;
})();

/** An exponentially distributed number with mean 1. */
export function exponentialNumber(random: Random): number {
  return exponential[random.uint32() >>> (32 - tableBits)] as number;
}

/** A whole number from 0 to below `bound` (at most 2^20). */
export function below(bound: number, random: Random): number {
  return Math.floor((random.uint32() * bound) / 2 ** 32);
}

/** Shuffles in place (R. A. Fisher, F. Yates; R. Durstenfeld 1964). */
export function shuffle(list: { [index: number]: number; readonly length: number }, random: Random): void {
  for (let i = list.length - 1; i > 0; i--) {
    const j = below(i + 1, random);
    const kept = list[i] as number;
    list[i] = list[j] as number;
    list[j] = kept;
  }
}

/** Work done, in nominal nanoseconds: counted, never measured. */
export interface Meter {
  spentNs: number;
}

/** A part of a search that can be done bit by bit. */
export interface Stage {
  /** Works until the meter stands at `untilNs`, or a little above, or nothing is left to do. */
  run(untilNs: number): void;
  readonly done: boolean;
}

/**
 * A temperature that falls from `hot` to `cold` by the same factor in every step, following the meter from `fromNs` to
 * `untilNs`.
 */
export function cooling(hot: number, cold: number, fromNs: number, untilNs: number): (spentNs: number) => number {
  const factor = 0.93;
  const levels: number[] = [];
  for (let t = hot; t > cold; t *= factor) levels.push(t);
  levels.push(cold);
  const perLevel = (untilNs - fromNs) / levels.length;
  return (spentNs) =>
    levels[Math.max(0, Math.min(levels.length - 1, Math.floor((spentNs - fromNs) / perLevel)))] as number;
}
