import type { DrawRequest, Driver, Seat } from './rotation.ts';
import { fewestHeats, steppingLanes } from './rotation.ts';

/** Name and version of the queue; see `searchEngine` for when to raise it. */
export const queueEngine = 'step 1';

interface Ride {
  driver: Driver;
  lane: number;
}

/**
 * The step rotation (common practice of the hobby, no source): after each heat everybody moves one place on through the
 * lane order; whoever leaves the last lane joins the end of the sit-out queue, whose head takes the first lane. Where
 * lanes outnumber drivers the empty lanes step along.
 *
 * Every driver runs every lane in use exactly `runsPerLane` times in {@link fewestHeats} heats, nobody twice in a heat.
 *
 * With a cap on the cars the same rides, in the same order, are cut into equally large heats of at most the cap. That
 * stays legal because in {@link ridesInStep} no lane and no driver comes twice within any stretch as long as a heat.
 */
export function queueHeats(request: DrawRequest): Seat[][] {
  const rides = ridesInStep(request);
  const count = fewestHeats(request);
  return Array.from({ length: count }, (_, h) => {
    const seats: Seat[] = Array<Seat>(request.lanes).fill(null);
    const from = Math.floor((h * rides.length) / count);
    const to = Math.floor(((h + 1) * rides.length) / count);
    for (const ride of rides.slice(from, to)) seats[ride.lane - 1] = ride.driver;
    return seats;
  });
}

/**
 * All rides of the uncapped rotation, heat after heat. Let n be drivers, L lanes in use.
 *
 * n > L: ring place p of step h holds driver p - h (mod n); a step lists places 0..L-1. A stretch of at most L rides is
 * the end of one step and the beginning of the next, so its lanes differ; the same driver on place p of step h is on
 * p + 1 of step h + 1, which lies beyond the stretch's end (and L < n excludes the wrap from place n-1 to 0).
 *
 * n <= L: driver i is on place i + h (mod L); a step lists drivers 0..n-1. The same argument with the parts of drivers
 * and lanes exchanged: in a stretch of fewer than n rides the lane of driver i comes back only with driver i - 1 of the
 * next step, beyond its end; a stretch of exactly n rides is only ever cut where a step begins, as then no heat is
 * smaller than a step.
 */
function ridesInStep(request: DrawRequest): Ride[] {
  const order = steppingLanes(request);
  const { drivers, runsPerLane } = request;
  const n = drivers.length;
  const width = Math.min(n, order.length);
  // In the first heat the first drivers sit on the lanes; the rest queue so that the next in the list comes in first.
  const ring = n > order.length ? [...drivers.slice(0, width), ...drivers.slice(width).reverse()] : [...drivers];
  const size = Math.max(n, order.length);
  return Array.from({ length: runsPerLane * size }, (_, step) =>
    Array.from({ length: width }, (_, i) => {
      const seat = n > order.length ? mod(i - step, n) : i;
      const place = n > order.length ? i : mod(i + step, size);
      return { driver: ring[seat] as Driver, lane: order[place] as number };
    }),
  ).flat();
}

function mod(value: number, size: number): number {
  return ((value % size) + size) % size;
}
