import { endByClock, endsByLaps } from './end-of-heat.ts';
import type { Crossing, CrossingKey, Decision, EventKind } from './facts.ts';
import type { HeatState } from './fold.ts';
import { crossingId } from './order.ts';
import { confirmedAtUs, isStarted } from './phase.ts';
import { never } from './race-clock.ts';
import { checkRuling, type RulingRefusal } from './ruling-checks.ts';

/** Why an event is refused. */
export type EventRefusal =
  | 'already-started'
  | 'not-armed'
  | 'not-started'
  | 'already-held'
  | 'not-held'
  | 'already-ended'
  | 'not-ended'
  | 'already-confirmed'
  /** It would stand before the heat's last event: the instants of a heat's events never fall. */
  | 'before-last-event'
  /** The heat before on this track has not ended. */
  | 'track-in-use'
  /** Cars of the heat before may still roll over the line and count. */
  | 'cars-still-rolling';

/** Why a ruling is refused in a state. */
export type StateRefusal =
  | RulingRefusal
  /** Where cars start in their first lap, a crossing before the lane's start cannot be judged to count. */
  | 'before-lane-start'
  /** A heat that was not started may still change on the plan, or be taken off it: there is nothing to rule on yet. */
  | 'not-started';

/**
 * Why an event is refused, or null. What is refused here the fold would ignore, except a second `confirm` and an `arm`
 * or `start` out of turn, which a director does not mean.
 *
 * @param atUs the instant that the event would be recorded at
 */
export function refusedEvent(state: HeatState, kind: EventKind, atUs: number): EventRefusal | null {
  const lastUs = state.events.at(-1)?.atUs;
  if (lastUs !== undefined && atUs < lastUs) return 'before-last-event';
  const started = isStarted(state);
  const { endUs, holds } = state.clock;
  const held = holds.at(-1)?.toUs === never;
  switch (kind) {
    case 'arm':
      return started ? 'already-started' : null;
    case 'start':
      if (started) return 'already-started';
      return state.events.some((event) => event.kind === 'arm') ? null : 'not-armed';
    case 'hold':
      if (!started) return 'not-started';
      if (atUs >= endUs) return 'already-ended';
      return held ? 'already-held' : null;
    case 'resume':
      if (!started) return 'not-started';
      if (atUs > endUs) return 'already-ended';
      return held ? null : 'not-held';
    case 'stop':
      if (!started) return 'not-started';
      return atUs > endUs ? 'already-ended' : null;
    case 'finish':
    case 'confirm':
      if (!started) return 'not-started';
      if (atUs < endUs) return 'not-ended';
      return kind === 'confirm' && confirmedAtUs(state) !== null ? 'already-confirmed' : null;
  }
}

/**
 * Why the next heat on a track cannot be armed yet, or null.
 *
 * @param previous the heat that was started last on the track, or null
 */
export function refusedArm(previous: HeatState | null, atUs: number): EventRefusal | null {
  if (previous === null || !isStarted(previous)) return null;
  const { endUs } = previous.clock;
  if (atUs < endUs) return 'track-in-use';
  return atUs < endUs + previous.plan.endRollUs ? 'cars-still-rolling' : null;
}

/**
 * Why a ruling is refused, or null.
 *
 * @param isEntryOfRace whether an entry belongs to the heat's race
 */
export function refusedRuling(
  state: HeatState,
  ruling: Decision,
  isEntryOfRace: (entry: string) => boolean,
): StateRefusal | null {
  const refusal = checkRuling(ruling, {
    plan: state.plan,
    hasCrossing: (key) => findCrossing(state, key) !== null,
    isEntryOfRace,
    isRuling: (n) => state.rulings.some((earlier) => earlier.n === n),
  });
  if (refusal !== null) return refusal;
  // Heats of an imported log may have rulings before their start: those can be undone.
  if (!isStarted(state) && ruling.kind !== 'undo') return 'not-started';
  if (ruling.kind === 'judge' && ruling.value > 0 && state.plan.start !== 'ahead') {
    const found = findCrossing(state, ruling.target);
    if (found !== null && found.crossing.atUs < found.laneStartUs) return 'before-lane-start';
  }
  return null;
}

/** A crossing of the heat and the start of the lane it is treated as one of. */
function findCrossing(state: HeatState, key: CrossingKey): { crossing: Crossing; laneStartUs: number } | null {
  const id = crossingId(key);
  for (const { rules, crossings } of state.lanes) {
    for (const { crossing } of crossings) {
      if (crossingId(crossing) === id) return { crossing, laneStartUs: rules.startUs };
    }
  }
  return null;
}

/**
 * The instant that an event pressed now is recorded at: now, but not before the heat's last event. What is pressed in
 * the countdown is so recorded at the start.
 */
export function recordedAtUs(state: HeatState, nowUs: number): number {
  return Math.max(nowUs, state.events.at(-1)?.atUs ?? nowUs);
}

/**
 * The instant at which a `stop` is to be written because laps have ended the heat, so that no later ruling makes it
 * longer; null where none is due: the end has not come, the clock or a `stop` made it, or a later event stands.
 */
export function stopDueAtUs(state: HeatState, nowUs: number): number | null {
  const { endUs } = state.clock;
  if (!endsByLaps(state.plan) || endUs > nowUs) return null;
  if (endUs === endByClock(state.plan, state.events, state.endless)) return null;
  return recordedAtUs(state, endUs) === endUs ? endUs : null;
}
