import type { HeatState } from '../heats/fold.ts';
import { type LaneSummary, laneSummaries } from '../heats/lane-summary.ts';

/** A lane in the result of its heat. */
export type HeatResultRow = LaneSummary & {
  readonly entry: string;
  /** Lanes that nothing tells apart share a place and the next place is skipped. */
  readonly place: number;
  /** Whether the heat was counted by hand on this lane: its laps were not. */
  readonly byHand: boolean;
};

/**
 * The result of one heat: by score; on equal scores whoever was earlier over the line at the end of the last counted
 * lap is ahead (common practice, no source). Lanes that did not finish a *laps* heat follow by laps, excluded ones come
 * last. Lanes without an entry are left out.
 */
export function heatResult(state: HeatState): HeatResultRow[] {
  const rows = laneSummaries(state).flatMap((lane) => (lane.entry === null ? [] : [{ ...lane, entry: lane.entry }]));
  const sorted = rows.sort((a, b) => compare(a, b) || a.lane - b.lane);
  let place = 0;
  return sorted.map((row, i) => {
    const before = sorted[i - 1];
    if (before === undefined || compare(before, row) !== 0) place = i + 1;
    return { ...row, place, byHand: state.standing.total.has(row.lane) };
  });

  function compare(a: LaneSummary, b: LaneSummary): number {
    const [one, other] = [orderOf(a), orderOf(b)];
    const i = one.findIndex((value, at) => value !== other[at]);
    return i < 0 ? 0 : (one[i] as number) < (other[i] as number) ? -1 : 1;
  }

  function orderOf({ excluded, finished, score, laps, lastLapEndRaceUs }: LaneSummary): number[] {
    const lastLapEnd = lastLapEndRaceUs ?? Number.POSITIVE_INFINITY;
    if (excluded) return [2];
    if (state.plan.format.kind === 'time') return [0, -(score ?? 0), lastLapEnd];
    return finished ? [0, score ?? 0, lastLapEnd] : [1, -laps, lastLapEnd];
  }
}
