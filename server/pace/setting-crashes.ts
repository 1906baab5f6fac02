import { randomFrom } from '../shared/random.ts';
import type { CrashCount } from './heat-row.ts';
import { betaDraw } from './numeric/draws.ts';

export interface CrashDifference {
  /** Crashes of 100 laps with b less those with a; the mean of the draws. */
  readonly per100Laps: number;
  /** Holds 90 % of what is likely. */
  readonly interval: { readonly low: number; readonly high: number };
  /** Chance that b crashes less. */
  readonly chanceFewer: number;
}

const usualDraws = 4000;

/**
 * Difference of crash rates between two settings, by draws from two beta posteriors with Jeffreys' prior Beta(1/2, 1/2).
 *
 * @param seed the same seed gives the same answer
 * @param draws a multiple of 20
 */
export function crashDifference(
  a: readonly CrashCount[],
  b: readonly CrashCount[],
  seed: number,
  draws = usualDraws,
): CrashDifference {
  const random = randomFrom(seed);
  const [ofA, ofB] = [a, b].map(jeffreys) as [Beta, Beta];
  const differences = new Float64Array(draws);
  for (let i = 0; i < draws; i++) {
    const inA = betaDraw(random, ofA.alpha, ofA.beta);
    differences[i] = 100 * (betaDraw(random, ofB.alpha, ofB.beta) - inA);
  }
  let sum = 0;
  for (const difference of differences) sum += difference;
  differences.sort();
  const fewer = differences.findIndex((x) => x >= 0);
  return {
    per100Laps: sum / draws,
    interval: { low: differences[draws * 0.05] as number, high: differences[draws * 0.95 - 1] as number },
    chanceFewer: (fewer < 0 ? draws : fewer) / draws,
  };
}

interface Beta {
  readonly alpha: number;
  readonly beta: number;
}

/** Posterior of a rate under Jeffreys' prior. */
export function jeffreys(counts: readonly CrashCount[]): Beta {
  let crashes = 0;
  let laps = 0;
  for (const count of counts) {
    if (!(count.crashes >= 0 && count.laps >= count.crashes && count.laps < 1e6)) continue;
    crashes += count.crashes;
    laps += count.laps;
  }
  return { alpha: 0.5 + crashes, beta: 0.5 + laps - crashes };
}
