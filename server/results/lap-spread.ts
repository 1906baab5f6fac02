import type { HeatState } from '../heats/fold.ts';

/** How the laps of one entry lie. Times in microseconds. */
export type LapSpread = {
  readonly entry: string;
  /** Every counted lap of its heats, in the order of the heats. */
  readonly lapsUs: readonly number[];
  readonly lowerUs: number;
  readonly medianUs: number;
  readonly upperUs: number;
};

/**
 * A quantile with linear interpolation between the two nearest values: definition 7 of R. J. Hyndman and Y. Fan,
 * "Sample Quantiles in Statistical Packages", The American Statistician 50 (1996).
 *
 * @param sorted at least one value, by rising size
 * @param p from 0 to 1
 * @returns cut to a whole number
 */
export function quantile(sorted: readonly number[], p: number): number {
  const at = (sorted.length - 1) * p;
  const below = Math.floor(at);
  const low = sorted[below] as number;
  const high = sorted[Math.min(below + 1, sorted.length - 1)] as number;
  return Math.floor(low + (high - low) * (at - below));
}

/**
 * The laps of each entry over several heats. Void heats, and lanes that were counted by hand, have no laps to show;
 * entries without a lap are left out.
 *
 * @param entries in the order wanted
 * @param heats that count, in the order in which they were run
 */
export function lapSpreads(entries: readonly string[], heats: readonly HeatState[]): LapSpread[] {
  const lapsOf = new Map<string, number[]>(entries.map((entry) => [entry, []]));
  for (const { lanes, standing } of heats) {
    for (const { rules, laps } of lanes) {
      if (rules.entry === null || standing.total.has(rules.lane)) continue;
      lapsOf.get(rules.entry)?.push(...laps.toArray().map(({ durationUs }) => durationUs));
    }
  }
  return [...lapsOf].flatMap(([entry, lapsUs]) => {
    if (lapsUs.length === 0) return [];
    const sorted = [...lapsUs].sort((a, b) => a - b);
    const [lowerUs, medianUs, upperUs] = [0.25, 0.5, 0.75].map((p) => quantile(sorted, p)) as [number, number, number];
    return [{ entry, lapsUs, lowerUs, medianUs, upperUs }];
  });
}
