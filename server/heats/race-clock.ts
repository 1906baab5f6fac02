import type { HeatEvent } from './facts.ts';

/** An instant that does not come. */
export const never = Number.POSITIVE_INFINITY;

/** A time without power, from its first instant up to (not including) `toUs`. `toUs` may be `never`. */
export type Hold = {
  readonly fromUs: number;
  readonly toUs: number;
  /** Length of the holds before this one. */
  readonly heldBeforeUs: number;
};

/**
 * The clock of a heat. Race time runs from the start and stands still in holds; after the end it runs on, for a lane
 * that rolls over the line.
 */
export type RaceClock = {
  /** `never` before the heat is started. */
  readonly startUs: number;
  /** `never` as long as nothing ends the heat. */
  readonly endUs: number;
  /** In order of time, not overlapping, none before the start and none without length. */
  readonly holds: readonly Hold[];
};

/**
 * Builds the clock from a heat's events, which act in the order of their numbers. What the state does not allow is
 * ignored: anything but `arm` before the start, a second start, a hold in a hold, a resume outside one, a hold at or
 * after the end, a resume after it. A hold that is open at the end, or never resumed, lasts for ever.
 *
 * @param events by rising number
 * @param endUs the end of the heat, or `never`. Race time up to the end is the same whatever later end is given: the
 *   end is found on the clock that never ends.
 */
export function raceClock(events: readonly HeatEvent[], endUs: number): RaceClock {
  const holds: Hold[] = [];
  let heldUs = 0;
  let openUs: number | null = null;
  for (const { kind, atUs } of eventsAfterStart(events)) {
    if (kind === 'hold' && openUs === null && atUs < endUs) {
      openUs = atUs;
    } else if (kind === 'resume' && openUs !== null && atUs <= endUs) {
      if (atUs > openUs) holds.push({ fromUs: openUs, toUs: atUs, heldBeforeUs: heldUs });
      heldUs += atUs - openUs;
      openUs = null;
    }
  }
  if (openUs !== null) holds.push({ fromUs: openUs, toUs: never, heldBeforeUs: heldUs });
  return { startUs: startOf(events)?.atUs ?? never, endUs, holds };
}

/** The event that starts a heat: the first `start`. */
function startOf(events: readonly HeatEvent[]): HeatEvent | undefined {
  return events.find(({ kind }) => kind === 'start');
}

/** The events that can act on a started heat; before the start only `arm` does anything. */
export function eventsAfterStart(events: readonly HeatEvent[]): readonly HeatEvent[] {
  const start = startOf(events);
  return start === undefined ? [] : events.filter(({ n }) => n > start.n);
}

/** The last hold that begins at or before an instant, whether or not the instant lies in it. */
function lastHoldUpTo(clock: RaceClock, atUs: number): Hold | undefined {
  let low = 0;
  let high = clock.holds.length;
  while (low < high) {
    const middle = (low + high) >> 1;
    if ((clock.holds[middle] as Hold).fromUs <= atUs) low = middle + 1;
    else high = middle;
  }
  return clock.holds[low - 1];
}

/** The hold in which an instant lies: its first instant is in it, the instant of the resume is not. */
export function holdAt(clock: RaceClock, atUs: number): Hold | null {
  const hold = lastHoldUpTo(clock, atUs);
  return hold !== undefined && atUs < hold.toUs ? hold : null;
}

/** Length of the holds up to an instant. */
function heldUntil(clock: RaceClock, atUs: number): number {
  const hold = lastHoldUpTo(clock, atUs);
  return hold === undefined ? 0 : hold.heldBeforeUs + Math.min(atUs, hold.toUs) - hold.fromUs;
}

/** Length of the part of [fromUs, toUs) that lies in holds. */
export function heldBetween(clock: RaceClock, fromUs: number, toUs: number): number {
  return heldUntil(clock, toUs) - heldUntil(clock, fromUs);
}

/** Race time at an instant: the time since the start less the holds; negative before the start. */
export function raceTimeAt(clock: RaceClock, atUs: number): number {
  return atUs - clock.startUs - heldUntil(clock, atUs);
}

/**
 * The smallest instant from the start on at which the race time is `raceUs` (at least 0), or `never`. Where the race
 * time is reached exactly when a hold begins, that is the instant: not the one of the resume.
 */
export function instantOf(clock: RaceClock, raceUs: number): number {
  let heldUs = 0;
  for (const hold of clock.holds) {
    if (hold.fromUs >= clock.startUs + raceUs + heldUs) break;
    heldUs += hold.toUs - hold.fromUs;
  }
  return clock.startUs + raceUs + heldUs;
}
