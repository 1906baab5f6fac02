import type { NightHeats } from './needs-heats.ts';

/**
 * The smallest number of heats in which these runs can be driven, at most `cars` at once: the largest degree of the
 * needs graph (D. König, Math. Annalen 77 (1916)), or all runs by cars, rounded up, as heats can be made equally large
 * (D. de Werra 1971).
 *
 * @param needs needs[driver][lane]
 */
export function fewestHeatsFor(needs: readonly (readonly number[])[], cars: number): number {
  const lanes = needs[0]?.length ?? 0;
  const ofDrivers = needs.map((row) => row.reduce((sum, runs) => sum + runs, 0));
  const ofLanes = Array.from({ length: lanes }, (_, l) => needs.reduce((sum, row) => sum + (row[l] ?? 0), 0));
  const all = ofDrivers.reduce((sum, runs) => sum + runs, 0);
  return Math.max(0, ...ofDrivers, ...ofLanes, Math.ceil(all / Math.max(1, cars)));
}

/**
 * Puts runs into heats `from` up to the last, which are empty: everybody gets exactly the runs needed, nobody is twice
 * in a heat, sizes of these heats differ by at most one.
 *
 * Runs are the edges of a bipartite multigraph drivers x lanes, heats its colours; a proper colouring with as many
 * colours as the largest degree is found edge by edge, by alternating paths (D. König 1916). The same paths then even
 * out the sizes (D. de Werra 1971).
 *
 * @param runs driver x lanes + lane of each run, in the order in which they are put in
 * @throws RangeError when a driver or a lane has more runs than there are heats
 */
export function colour(night: NightHeats, from: number, runs: readonly number[]): void {
  for (const run of runs) addRun(night, from, Math.floor(run / night.lanes), run % night.lanes);
  evenOut(night, from);
}

function addRun(night: NightHeats, from: number, driver: number, lane: number): void {
  let both = -1;
  let forDriver = -1;
  let forLane = -1;
  for (let h = from; h < night.heats; h += 1) {
    const driverFree = night.laneOf(driver, h) < 0;
    const laneFree = night.seat(h, lane) < 0;
    if (driverFree) forDriver = h;
    if (laneFree) forLane = h;
    if (driverFree && laneFree && (both < 0 || (night.sizes[h] as number) < (night.sizes[both] as number))) both = h;
  }
  if (both >= 0) return night.put(both, lane, driver);
  if (forDriver < 0 || forLane < 0) throw new RangeError('more runs of a driver or on a lane than heats');
  // The path of the two heats that begins at the lane never reaches the driver: it would come in by the driver's free
  // heat. After the exchange along it the lane is free where the driver is.
  night.swap(forDriver, forLane, night.chain(forDriver, forLane, lane));
  night.put(forDriver, lane, driver);
}

/** Moves runs, on as few lanes at a time as possible, until no heat has two more than another. */
export function evenOut(night: NightHeats, from: number): void {
  for (;;) {
    let large = from;
    let small = from;
    for (let h = from; h < night.heats; h += 1) {
      if ((night.sizes[h] as number) > (night.sizes[large] as number)) large = h;
      if ((night.sizes[h] as number) < (night.sizes[small] as number)) small = h;
    }
    if (from >= night.heats || (night.sizes[large] as number) - (night.sizes[small] as number) < 2) return;
    // Of the paths and rings that the two heats form, one holds more runs of the larger heat than of the smaller.
    let shortest = 0;
    for (let lane = 0; lane < night.lanes; lane += 1) {
      const bits = night.chain(large, small, lane);
      if (night.surplus(large, small, bits) <= 0) continue;
      if (shortest === 0 || lanesIn(bits) < lanesIn(shortest)) shortest = bits;
    }
    night.swap(large, small, shortest);
  }
}

/** How many lanes are set. */
export function lanesIn(bits: number): number {
  let count = 0;
  for (let left = bits; left !== 0; left &= left - 1) count += 1;
  return count;
}
