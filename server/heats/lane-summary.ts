import type { HeatState } from './fold.ts';
import type { LaneState } from './lane.ts';
import { lapGoal } from './plan.ts';
import { never } from './race-clock.ts';

/**
 * `racing`: has an entry and may still complete laps. `finished`: has all laps of a *laps* heat or of first-to.
 * `retired`: races no more. `empty`: nobody drives on it.
 */
export type LaneStanding = 'racing' | 'finished' | 'retired' | 'empty';

/** What a lane has come to in its heat. */
export type LaneSummary = {
  readonly lane: number;
  readonly entry: string | null;
  readonly standing: LaneStanding;
  /** Counted laps, or those of the heat as counted by hand. */
  readonly laps: number;
  /** Hundredths of a lap (*time*) or milliseconds (*laps*), at least 0; null: a *laps* heat not finished. */
  readonly score: number | null;
  /** Whether a *laps* heat has a score. */
  readonly finished: boolean;
  /** Excluded from this heat. */
  readonly excluded: boolean;
  readonly lastLapUs: number | null;
  /** The fastest clean lap; none for a heat counted by hand or a lane excluded from it. */
  readonly fastestUs: number | null;
  /** Race time at the end of the last counted lap; none where `fastestUs` has none for its own sake. */
  readonly lastLapEndRaceUs: number | null;
};

/** Sums up one lane of a heat. */
export function laneSummary({ plan, standing }: HeatState, state: LaneState): LaneSummary {
  const { lane, entry } = state.rules;
  const total = standing.total.get(lane) ?? null;
  const excluded = entry !== null && standing.excludedFromHeat.has(entry);
  const adjust = standing.laneAdjust.get(lane) ?? 0;
  const lastLap = state.laps.at(-1);
  const uncounted = total !== null || excluded;
  const common = {
    lane,
    entry,
    excluded,
    standing: laneStanding(state, lapGoal(plan.format)),
    lastLapUs: lastLap?.durationUs ?? null,
    fastestUs: uncounted ? null : state.fastestUs,
    lastLapEndRaceUs: uncounted ? null : (lastLap?.endRaceUs ?? null),
  };
  if (plan.format.kind === 'laps') {
    const endUs = state.laps.at(plan.format.laps - 1)?.endRaceUs;
    const counted = total ?? (endUs === undefined ? null : Math.floor(endUs / 1000));
    const finished = counted !== null && !excluded;
    return {
      ...common,
      laps: total === null ? state.laps.length : plan.format.laps,
      score: finished ? Math.max(0, counted + adjust) : null,
      finished,
    };
  }
  const counted = total ?? 100 * state.laps.length + (standing.part.get(lane) ?? 0);
  return {
    ...common,
    laps: total === null ? state.laps.length : Math.floor(total / 100),
    score: excluded ? 0 : Math.max(0, counted + adjust),
    finished: false,
  };
}

/** Sums up every lane of a heat, in the order of the plan. */
export function laneSummaries(state: HeatState): LaneSummary[] {
  return state.lanes.map((lane) => laneSummary(state, lane));
}

function laneStanding({ rules, laps }: LaneState, goal: number | null): LaneStanding {
  if (rules.entry === null) return 'empty';
  if (goal !== null && laps.length >= goal) return 'finished';
  return rules.retiredAtUs === never ? 'racing' : 'retired';
}
