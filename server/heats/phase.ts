import type { HeatState } from './fold.ts';
import { raceTimeLimitUs } from './plan.ts';
import { eventsAfterStart, holdAt, never, raceTimeAt } from './race-clock.ts';

export type HeatPhase = 'planned' | 'armed' | 'countdown' | 'running' | 'held' | 'ended' | 'confirmed';

/**
 * The state of a heat at an instant. Whether it is void is another matter: see `isVoid`.
 *
 * @param disarmed whether another heat of the track was armed after this one
 */
export function heatPhase(state: HeatState, nowUs: number, disarmed = false): HeatPhase {
  const { startUs, endUs } = state.clock;
  if (startUs === never) return !disarmed && state.events.some(({ kind }) => kind === 'arm') ? 'armed' : 'planned';
  if (nowUs < startUs) return 'countdown';
  if (confirmedAtUs(state) !== null) return 'confirmed';
  if (nowUs >= endUs) return 'ended';
  return holdAt(state.clock, nowUs) === null ? 'running' : 'held';
}

/** Whether the heat was started: before that nothing counts. */
export function isStarted(state: HeatState): boolean {
  return state.clock.startUs !== never;
}

/** Whether a ruling takes the heat out: it counts for nobody. */
export function isVoid(state: HeatState): boolean {
  return state.standing.voided;
}

/** When the heat was confirmed, by the first `confirm` that is not before its end; or null. */
export function confirmedAtUs({ events, clock }: HeatState): number | null {
  return eventsAfterStart(events).find(({ kind, atUs }) => kind === 'confirm' && atUs >= clock.endUs)?.atUs ?? null;
}

/** A heat's clock as a screen shows it: it can run on from this by itself. */
export type ShownClock = {
  /** Race time; negative in the countdown. After the end it is the race time at the end. */
  readonly elapsedUs: number;
  /** Race time left of the limit, or null where the heat has none. */
  readonly leftUs: number | null;
  /** Whether the time shown is running. */
  readonly ticking: boolean;
};

/** The clock of a started heat at an instant; null before the start is pressed. */
export function shownClock(state: HeatState, nowUs: number): ShownClock | null {
  const { clock, plan } = state;
  if (clock.startUs === never) return null;
  const atUs = Math.min(nowUs, clock.endUs);
  const elapsedUs = raceTimeAt(clock, atUs);
  const limitUs = raceTimeLimitUs(plan.format);
  return {
    elapsedUs,
    leftUs: limitUs === null ? null : limitUs - Math.max(0, elapsedUs),
    ticking: nowUs < clock.startUs || (nowUs < clock.endUs && holdAt(clock, nowUs) === null),
  };
}
