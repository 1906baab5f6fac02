import type { Entry, Race } from '../meetings/store.ts';
import { heatOnTrack, heatsToCome, type MeetingNow, numbered, phaseOf } from '../night/meeting-now.ts';
import type { HeatPlanRow } from '../rotation/store.ts';

/** Whom a unit serves: whoever drives on a lane, or one driver on any. */
export type Serves = { readonly lane: number } | { readonly driverId: string };

/** The place in the programme that a unit is next wanted for. */
export interface NextHeat {
  readonly heat: HeatPlanRow;
  readonly race: Race;
  /** Among the heats of its race, from 1. */
  readonly number: number;
  readonly lane: number;
  readonly entry: Entry;
}

/**
 * The heat in which a unit is next held: the one on the track until it has ended, else the first one to come in which its
 * lane is driven, or its driver drives; null when there is none.
 */
export function nextHeatOf(now: MeetingNow, serves: Serves): NextHeat | null {
  const onTrack = heatOnTrack(now);
  const isOver = onTrack !== null && phaseOf(now, onTrack.id) === 'ended';
  const heats = [...(onTrack && !isOver ? [onTrack] : []), ...heatsToCome(now)];
  for (const heat of heats) {
    const race = numbered(now, heat.id);
    if (!race) continue;
    for (const { lane, entryId } of heat.lanes) {
      const entry = now.entries.get(entryId);
      if (!entry || !('lane' in serves ? lane === serves.lane : entry.driverId === serves.driverId)) continue;
      return { heat, race: race.race, number: race.number, lane, entry };
    }
  }
  return null;
}
