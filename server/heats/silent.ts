import type { HeatState } from './fold.ts';
import type { LaneState } from './lane.ts';
import type { Lap } from './laps.ts';
import { isStarted } from './phase.ts';
import type { HeatFormat } from './plan.ts';
import { raceTimeAt } from './race-clock.ts';
import { RunningMedian } from './running-median.ts';

/** So many median laps without a crossing make a lane silent. */
const silentMedians = 3;
/** A lane not heard yet is silent when another has so many laps. */
const othersLaps = 2;

/**
 * The lanes on which a car is off the track or the sensor is silent, at the instant given or at the end of the heat if
 * that is earlier: lanes that race and, in a *laps* heat, have not all laps yet. With a median (of the laps closed by
 * then) a lane is silent after three medians of race time since its last crossing of any verdict but `late`; without
 * one, when it has no such crossing and another racing lane has two laps.
 */
export function silentLanes(state: HeatState, untilUs: number): number[] {
  if (!isStarted(state)) return [];
  const atUs = Math.min(untilUs, state.clock.endUs);
  const racing = state.lanes
    .filter(({ rules }) => rules.entry !== null && rules.retiredAtUs > atUs)
    .map((lane) => ({ lane, laps: lapsBy(lane, atUs) }));
  return racing
    .filter((one) => !hasAllLaps(state.plan.format, one.laps) && isSilent(state, one, racing, atUs))
    .map(({ lane }) => lane.rules.lane);
}

type RacingLane = { readonly lane: LaneState; readonly laps: readonly Lap[] };

function lapsBy({ laps }: LaneState, atUs: number): Lap[] {
  return laps.toArray().filter(({ closing }) => closing.atUs <= atUs);
}

function hasAllLaps(format: HeatFormat, laps: readonly Lap[]): boolean {
  return format.kind === 'laps' && laps.length >= format.laps;
}

function isSilent(state: HeatState, one: RacingLane, racing: readonly RacingLane[], atUs: number): boolean {
  const median = new RunningMedian();
  for (const lap of one.laps) if (lap.flags.length === 0) median.add(lap.durationUs);
  const heardUs = lastHeardUs(one.lane);
  if (median.twice === null || heardUs === null) {
    return heardUs === null && racing.some((other) => other !== one && other.laps.length >= othersLaps);
  }
  const sinceUs = raceTimeAt(state.clock, atUs) - raceTimeAt(state.clock, heardUs);
  return 2 * sinceUs >= silentMedians * median.twice;
}

function lastHeardUs({ crossings }: LaneState): number | null {
  for (let i = 1; i <= crossings.length; i++) {
    const judged = crossings.at(-i);
    if (judged !== undefined && judged.verdict !== 'late') return judged.crossing.atUs;
  }
  return null;
}
