import type { HeatEvent } from '../heats/facts.ts';

/** Who stands behind what nobody pressed: the stop of a heat that its laps have ended. */
export const byProgram = 'Lanewise';

/**
 * The number of the last event that somebody pressed, 0 before the first: what a press says its screen has shown. The
 * program's own stop changes nothing that a screen shows, so it makes no screen an old one.
 */
export function lastPressedN(events: readonly HeatEvent[]): number {
  return events.findLast(({ by }) => by !== byProgram)?.n ?? 0;
}
