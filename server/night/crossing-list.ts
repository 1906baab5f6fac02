import type { Crossing, Verdict } from '../heats/facts.ts';
import type { HeatState } from '../heats/fold.ts';
import type { LapFlag } from '../heats/laps.ts';
import { isStarted } from '../heats/phase.ts';
import { raceTimeAt } from '../heats/race-clock.ts';

/** A crossing with what became of it. */
export type CrossingLine = {
  crossing: Crossing;
  /** The lane it is counted on. */
  lane: number;
  verdict: Verdict;
  /** Race time; null before the heat is started. */
  raceUs: number | null;
  /** The lap or laps it closes. */
  laps: { n: number; durationUs: number; flags: readonly LapFlag[] }[];
};

/** Every crossing of a heat, newest first. */
export function crossingLines(state: HeatState): CrossingLine[] {
  const started = isStarted(state);
  const lines = state.lanes.flatMap(({ rules, crossings, laps }) => {
    const closed = new Map<Crossing, CrossingLine['laps']>();
    for (const { n, durationUs, flags, closing } of laps) {
      closed.set(closing, [...(closed.get(closing) ?? []), { n, durationUs, flags }]);
    }
    return crossings.toArray().map(
      ({ crossing, verdict }): CrossingLine => ({
        crossing,
        lane: rules.lane,
        verdict,
        raceUs: started ? raceTimeAt(state.clock, crossing.atUs) : null,
        laps: closed.get(crossing) ?? [],
      }),
    );
  });
  return lines.sort((a, b) => b.crossing.atUs - a.crossing.atUs);
}
