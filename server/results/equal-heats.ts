import type { RaceRow } from './standing.ts';

/** How far the entries of a race have come. */
export type HeatCounts = {
  /** The fewest and the most heats that any entry with a heat has run; both 0 before the first. */
  readonly least: number;
  readonly most: number;
};

/** @param rows of the standing; entries that have not driven yet, or are excluded from the race, are left out */
export function heatCounts(rows: readonly RaceRow[]): HeatCounts {
  const counts = rows.filter(({ excluded, heats }) => !excluded && heats.length > 0).map(({ heats }) => heats.length);
  return counts.length === 0 ? { least: 0, most: 0 } : { least: Math.min(...counts), most: Math.max(...counts) };
}

/**
 * An entry's mean per heat of its own heats, cut: what can be compared while some have run more heats than others.
 *
 * @returns hundredths of a lap (*time*) or milliseconds of its finished heats (*laps*); null without any
 */
export function meanPerHeat({ heats }: RaceRow): number | null {
  const scores = heats.flatMap(({ score }) => (score === null ? [] : [score]));
  return scores.length === 0 ? null : Math.floor(scores.reduce((sum, score) => sum + score, 0) / scores.length);
}
