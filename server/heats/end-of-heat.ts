import type { HeatEvent } from './facts.ts';
import type { LaneState } from './lane.ts';
import { type HeatPlan, lapGoal, raceTimeLimitUs } from './plan.ts';
import { eventsAfterStart, instantOf, never, type RaceClock } from './race-clock.ts';

/** Whether laps can end the heat: then its end is known only from its crossings. */
export function endsByLaps(plan: HeatPlan): boolean {
  return lapGoal(plan.format) !== null;
}

/** The end that clock and events give: the limit in race time or the first `stop`, whichever is first; or `never`. */
export function endByClock(plan: HeatPlan, events: readonly HeatEvent[], clock: RaceClock): number {
  if (clock.startUs === never) return never;
  const stop = eventsAfterStart(events).find(({ kind }) => kind === 'stop');
  const limitUs = raceTimeLimitUs(plan.format);
  return Math.min(stop?.atUs ?? never, limitUs === null ? never : instantOf(clock, limitUs));
}

/**
 * The end of a heat: `endByClock`, or the smallest instant from the start on at which the laps are done, whichever is
 * first. In a *laps* heat every racing lane must have its laps (a retired lane races no more from its retirement on);
 * with `firstTo` any one lane ends it.
 *
 * The end decides which crossings still count and so which laps there are, yet there is nothing to iterate: no
 * crossing at or before the end is judged by the end. So lanes counted on a clock with whatever end tell whether that
 * end is right: it is when it is the one found here. On a clock without end they tell the end itself.
 */
export function endOfHeat(plan: HeatPlan, byClockUs: number, clock: RaceClock, lanes: readonly LaneState[]): number {
  if (!endsByLaps(plan) || clock.startUs === never) return byClockUs;
  let doneUs: number;
  if (plan.format.kind === 'laps') {
    doneUs = clock.startUs;
    for (const { rules, goalAtUs } of lanes) {
      if (rules.entry !== null) doneUs = Math.max(doneUs, Math.min(goalAtUs, rules.retiredAtUs));
    }
  } else {
    doneUs = lanes.reduce((earliest, { goalAtUs }) => Math.min(earliest, goalAtUs), never);
    doneUs = Math.max(doneUs, clock.startUs);
  }
  return Math.min(byClockUs, doneUs);
}
