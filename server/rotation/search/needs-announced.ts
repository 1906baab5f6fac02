import { evenOut, lanesIn } from './needs-colouring.ts';
import type { NightHeats } from './needs-heats.ts';
import { keptHeat, type NightStart, nightSoFar } from './needs-start.ts';
import type { DrawTask } from './task.ts';

/** Most exchanges that are weighed for all runs together, so that a start stays a matter of milliseconds. */
const mostTries = 10_000;

/**
 * Legal heats as close to the announced ones as a quick look finds: announced runs that are still owed stay where they
 * are, runs that are owed beyond them take seats that are free, who came late first; where no free seat fits, the
 * shortest alternating path makes one (see `colour`).
 *
 * @param task with needs
 * @returns null when nothing was announced
 * @throws RangeError when the runs need more heats than the task has
 */
export function announcedNight(task: DrawTask): NightStart | null {
  const { needs, published } = task;
  if (!needs || published.length === 0) return null;
  const ran = task.done.length;
  const night = nightSoFar(task);
  const owed = needs.map((row) => [...row]);
  for (const [i, row] of published.slice(0, task.heats).entries()) {
    for (let l = 0; l < night.lanes; l += 1) {
      const driver = row[l] ?? -1;
      const left = owed[driver]?.[l] ?? 0;
      if (left < 1 || night.laneOf(driver, ran + i) >= 0) continue;
      night.put(ran + i, l, driver);
      (owed[driver] as number[])[l] = left - 1;
    }
  }
  const from = ran + (keptHeat(task) ? 1 : 0);
  const meter = { tries: 0 };
  // Those who came late have the highest indices.
  for (let driver = task.drivers - 1; driver >= 0; driver -= 1) {
    for (const [lane, runs] of (owed[driver] as number[]).entries()) {
      for (let i = 0; i < runs; i += 1) addNear(night, from, driver, lane, meter);
    }
  }
  evenOut(night, from);
  return { night, from };
}

/** Puts in a run so that few others move. */
function addNear(night: NightHeats, from: number, driver: number, lane: number, meter: { tries: number }): void {
  const forDriver: number[] = [];
  const forLane: number[] = [];
  let both = -1;
  for (let h = from; h < night.heats; h += 1) {
    const driverFree = night.laneOf(driver, h) < 0;
    const laneFree = night.seat(h, lane) < 0;
    if (driverFree) forDriver.push(h);
    if (laneFree) forLane.push(h);
    if (driverFree && laneFree && (both < 0 || (night.sizes[h] as number) < (night.sizes[both] as number))) both = h;
  }
  if (both >= 0) return night.put(both, lane, driver);
  let best: { a: number; b: number; bits: number } | null = null;
  search: for (const b of forLane) {
    for (const a of forDriver) {
      if (best !== null && meter.tries >= mostTries) break search;
      meter.tries += 1;
      const bits = night.chain(a, b, lane);
      if (best === null || lanesIn(bits) < lanesIn(best.bits)) best = { a, b, bits };
    }
  }
  if (best === null) throw new RangeError('more runs of a driver or on a lane than heats');
  night.swap(best.a, best.b, best.bits);
  night.put(best.a, lane, driver);
}
