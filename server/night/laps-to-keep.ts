import type { HeatState } from '../heats/fold.ts';
import type { Lap } from '../heats/laps.ts';
import { isVoid } from '../heats/phase.ts';

/** The laps of a heat that go into history, with whose they are. A void heat leaves none. */
export function lapsToKeep(
  state: HeatState,
  entries: readonly { id: string; driverId: string }[],
): { lane: number; entryId: string; driverId: string; lap: Lap }[] {
  if (isVoid(state)) return [];
  const drivers = new Map(entries.map(({ id, driverId }) => [id, driverId]));
  return state.lanes.flatMap(({ rules, laps }) => {
    const driverId = rules.entry === null ? undefined : drivers.get(rules.entry);
    if (rules.entry === null || driverId === undefined) return [];
    const entryId = rules.entry;
    return laps.toArray().map((lap) => ({ lane: rules.lane, entryId, driverId, lap }));
  });
}
