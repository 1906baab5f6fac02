import type { HeatState } from '../heats/fold.ts';
import { laneSummary } from '../heats/lane-summary.ts';
import { isStarted, isVoid } from '../heats/phase.ts';
import type { ToldHeat } from './told.ts';

/**
 * Whether a heat was won by so much as its handicaps had given less than 1 %: reason to look at laps, sensors and settings.
 * It says nothing about anybody.
 *
 * @param nowUs heats that have not ended by then are no surprise yet
 * @returns the winner's entry; null for no surprise, or where nobody can say
 */
export function surprisingWinner(state: HeatState, told: ToldHeat, nowUs: number): string | null {
  if (!isStarted(state) || isVoid(state) || nowUs < state.clock.endUs) return null;
  const overTime = state.plan.format.kind !== 'laps';
  const scores = state.lanes
    .map((lane) => laneSummary(state, lane))
    .flatMap(({ entry, lane, score, excluded }) =>
      entry === null || score === null || excluded ? [] : [{ entry, lane, score }],
    )
    .sort((a, b) => (overTime ? b.score - a.score : a.score - b.score));
  const [first, second] = scores;
  if (!first || !second) return null;
  const line = told.lanes.find(({ entryId }) => entryId === first.entry);
  if (!line || line.surprising === null) return null;
  // Without part laps a score may be short of a whole lap.
  const unsure = overTime && !state.standing.part.has(second.lane) && !state.standing.total.has(second.lane) ? 100 : 0;
  return Math.abs(first.score - second.score) - unsure > line.surprising ? first.entry : null;
}
