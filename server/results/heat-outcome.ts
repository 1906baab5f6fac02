import type { HeatState } from '../heats/fold.ts';
import { type LaneSummary, laneSummaries } from '../heats/lane-summary.ts';
import { confirmedAtUs, isStarted, isVoid } from '../heats/phase.ts';

/** Whether a heat is over, as far as the facts go. */
export type OutcomeState = 'running' | 'ended' | 'confirmed';

/** What a heat contributes to its race. */
export type HeatOutcome = {
  readonly heat: string;
  readonly ordinal: number;
  /** Started and not void: only such a heat counts. */
  readonly counts: boolean;
  readonly state: OutcomeState;
  readonly lanes: readonly LaneSummary[];
  /** What rulings of this heat add to race scores: they stand also when the heat does not count. */
  readonly entryAdjust: ReadonlyMap<string, number>;
  /** Entries excluded from the race by a ruling of this heat, whether or not it counts. */
  readonly excludedFromRace: ReadonlySet<string>;
};

/**
 * Sums up a heat for its race.
 *
 * @param latestUs the latest instant that any fact of the meeting names: a heat has ended when facts reach its end
 */
export function heatOutcome(state: HeatState, ordinal: number, latestUs: number): HeatOutcome {
  return {
    heat: state.plan.heat,
    ordinal,
    counts: isStarted(state) && !isVoid(state),
    state: confirmedAtUs(state) !== null ? 'confirmed' : latestUs >= state.clock.endUs ? 'ended' : 'running',
    lanes: laneSummaries(state),
    entryAdjust: state.standing.entryAdjust,
    excludedFromRace: state.standing.excludedFromRace,
  };
}
