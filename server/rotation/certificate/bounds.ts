import { allHeats, type CountedNight, heatsOfDrivers } from './counted-night.ts';
import { laneRuns, longestWait, type PairCounts } from './figures.ts';
import { Levels, overEvenParts, sumOf } from './squares.ts';

/**
 * Lower bounds for every rotation with the same heats done, and the same runs in as many heats to come. All are counting
 * arguments.
 */

/**
 * Lane spread. By driver: the runs to come go to the lanes used least so far. A first draw can always reach it, whoever
 * meets whom (D. König 1916; C. Smith and H. Hartley 1948; for unequal runs D. de Werra 1971).
 */
export function laneSpreadBound(night: CountedNight): number {
  const spreads = night.nextRuns.map((runs, d) => {
    if (night.racing[d] !== true) return 0;
    const { least, most } = new Levels(laneRuns(night.done, d, night.lanes)).range(runs);
    return most - least;
  });
  return Math.max(0, ...spreads);
}

/**
 * Back-to-back runs in the heats to come, counted from the last heat done. A driver with r runs in H heats has at least
 * 2r - H - 1; two heats in a row with s and t cars share at least s + t - n drivers.
 */
export function backToBackBound(night: CountedNight): number {
  const heats = night.next.length;
  if (heats === 0) return 0;
  const last = night.done.at(-1) ?? [];
  // Who ran the last heat done has one run and one heat more to count.
  const byDriver = sumOf(
    night.nextRuns.map((runs, d) => Math.max(0, last.includes(d) ? 2 * runs - heats : 2 * runs - heats - 1)),
  );
  const drivers = night.nextRuns.filter((runs) => runs > 0).length;
  const cars = sumOf(night.nextSizes);
  const byHeats = 2 * (cars - night.mostCars) - drivers * (heats - 1);
  const smallest = night.evenSizes ? Math.floor(cars / heats) : 0;
  const byTwo = (heats - 1) * Math.max(0, 2 * smallest - drivers);
  return Math.max(byDriver, byHeats, byTwo, 0);
}

/**
 * Longest sit-out. What was waited already stays. w + 1 heats in a row must hold everybody who runs; the heats somebody
 * sits out fall into one stretch more than runs, the first of which may have begun before.
 */
export function sitOutBound(night: CountedNight): number {
  const doneHeats = heatsOfDrivers(night.done, night.nextRuns.length);
  const heats = night.next.length;
  const byDriver = night.nextRuns.map((runs, d) => {
    if (night.racing[d] !== true) return 0;
    const ran = doneHeats[d] ?? [];
    const from = night.late[d] ? night.done.length : 0;
    const pending = night.done.length - Math.max(from, (ran.at(-1) ?? -1) + 1);
    const waited = longestWait(ran.slice(0, -1), from, ran.at(-1) ?? from);
    return Math.max(waited, Math.ceil((pending + heats - runs) / (runs + 1)));
  });
  const drivers = night.nextRuns.filter((runs) => runs > 0).length;
  const byHeats = Math.min(heats, Math.ceil(drivers / Math.max(1, night.mostCars)) - 1);
  return Math.max(0, byHeats, ...byDriver);
}

/**
 * Sum over pairs of squared heats side by side. Lanes in use form g blocks of neighbouring numbers with W - g
 * adjacencies; each empty lane removes at most two. Two lanes side by side that are used u and v times in H heats are
 * used together at least u + v - H times, in rotations that use each lane as often as this night.
 */
export function neighboursBound(night: CountedNight, before: PairCounts): number {
  const { lanes, next, nextSizes, nextRuns } = night;
  const adjacent = lanes.filter((lane) => lanes.includes(lane + 1));
  const inHeat = (cars: number) => Math.max(0, adjacent.length - 2 * (lanes.length - cars));
  const uses = (lane: number) => next.filter((row) => (row[lane - 1] ?? -1) >= 0).length;
  const byLanes = adjacent.map((lane) => Math.max(0, uses(lane) + uses(lane + 1) - next.length));
  const toCome = Math.max(overEvenParts(sumOf(nextSizes), nextSizes.length, inHeat), sumOf(byLanes));
  const open = new Levels(before.eitherCounts((a, b) => runsOn(nextRuns, a, b)));
  const closed = before.eitherCounts((a, b) => !runsOn(nextRuns, a, b));
  return open.leastSquares(toCome) + sumOf(closed.map((count) => count * count));
}

/**
 * Sum over ordered pairs of squared take-overs of a lane. A lane used u times in H heats is used in two heats running
 * at least 2u - H - 1 times; a driver who runs it c times takes over from themselves at most c - 1 times. Holds for
 * rotations in which nobody runs lanes more unevenly than here or than runs ask for.
 */
export function carryOverBound(night: CountedNight, before: PairCounts): number {
  const { lanes, nextRuns, next } = night;
  const fromSelf = sumOf(
    nextRuns.map((runs, d) => {
      const again = laneRuns(next, d, lanes).map((times) => Math.max(0, times - 1));
      return Math.max(0, runs - lanes.length, sumOf(again));
    }),
  );
  const takeOvers = (uses: number) => Math.max(0, 2 * uses - next.length - 1);
  const toCome = Math.max(0, overEvenParts(sumOf(night.nextSizes), lanes.length, takeOvers) - fromSelf);
  const open = new Levels(before.orderedCounts((a, b) => runsOn(nextRuns, a, b)));
  const closed = before.orderedCounts((a, b) => !runsOn(nextRuns, a, b));
  return open.leastSquares(toCome) + sumOf(closed.map((count) => count * count));
}

/**
 * Sum over drivers who still race of the doubled distance from mid-night. The sum of r different heat numbers can be
 * every whole number between those of the first and of the last r heats to come.
 */
export function timeOfNightBound(night: CountedNight): number {
  const heats = allHeats(night).length;
  const doneHeats = heatsOfDrivers(night.done, night.nextRuns.length);
  const distances = night.nextRuns.map((runs, d) => {
    if (night.racing[d] !== true) return 0;
    const ran = doneHeats[d] ?? [];
    const wanted = (ran.length + runs) * (heats + 1) - 2 * sumOf(ran.map((h) => h + 1));
    const first = runs * night.done.length + (runs * (runs + 1)) / 2;
    const last = runs * heats - (runs * (runs - 1)) / 2;
    if (wanted < 2 * first) return 2 * first - wanted;
    if (wanted > 2 * last) return wanted - 2 * last;
    return wanted % 2 === 0 ? 0 : 1;
  });
  return sumOf(distances);
}

const runsOn = (runs: readonly number[], a: number, b: number) => (runs[a] ?? 0) > 0 && (runs[b] ?? 0) > 0;
