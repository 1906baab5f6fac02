import { type Driver, defaultLaneOrder, type Seat } from './rotation.ts';

/** How often each driver drives in these heats. */
export function runsOf(heats: readonly (readonly Seat[])[]): Map<Driver, number> {
  const runs = new Map<Driver, number>();
  for (const seat of heats.flat()) if (seat !== null) runs.set(seat, (runs.get(seat) ?? 0) + 1);
  return runs;
}

/** How often two drivers meet in these heats: rows and columns in the order of `drivers`, 0 on the diagonal. */
export function meetingsTable(drivers: readonly Driver[], heats: readonly (readonly Seat[])[]): number[][] {
  return drivers.map((a) =>
    drivers.map((b) => (a === b ? 0 : heats.filter((seats) => seats.includes(a) && seats.includes(b)).length)),
  );
}

/**
 * What a draw of these lanes usually asks for: once heats are drawn, the lanes they use and the most runs that somebody
 * has on one lane; before that every lane once.
 *
 * @param lanes of the night
 * @param heats the lanes of each heat that counts or will be run
 */
export function usualOptions(
  lanes: readonly number[],
  heats: readonly (readonly { readonly lane: number; readonly entryId: string }[])[],
): { runsPerLane: number; laneOrder: number[] } {
  const runs = new Map<string, number>();
  for (const { lane, entryId } of heats.flat()) {
    const key = `${lane} ${entryId}`;
    runs.set(key, (runs.get(key) ?? 0) + 1);
  }
  const used = new Set(heats.flat().map((one) => one.lane));
  const inUse = lanes.filter((lane) => used.size === 0 || used.has(lane));
  return {
    runsPerLane: Math.max(1, ...runs.values()),
    laneOrder: defaultLaneOrder(Math.max(...lanes)).filter((lane) => inUse.includes(lane)),
  };
}
