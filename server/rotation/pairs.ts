import { racing } from './groups.ts';
import { type DrawRequest, type Driver, type Seat, steppingLanes } from './rotation.ts';

/** A heat of two: who is on the first lane and who on the second. */
export type Pairing = readonly [first: number, second: number];

/**
 * The rounds of a Berger table: everyone meets everyone once, nobody twice in a round. With an odd number of drivers
 * the highest number of the table is a bye: its opponent sits the round out.
 *
 * Rule as published in the FIDE Handbook, C.05 Annex 1: in round r of n (even) the last number n meets the driver who
 * comes n/2 places after the one it met a round before, n on the second lane in odd rounds and on the first in even
 * ones; of the others those meet whose numbers add up to twice that driver's, modulo n - 1.
 *
 * @param drivers how many, at least 2; they are numbered from 1
 */
export function bergerRounds(drivers: number): Pairing[][] {
  const even = drivers + (drivers % 2);
  const circle = even - 1;
  const wrapped = (number: number) => ((((number - 1) % circle) + circle) % circle) + 1;
  return Array.from({ length: circle }, (_, round) => {
    const pivot = wrapped(1 + (round * even) / 2);
    const pairings: Pairing[] = round % 2 === 0 ? [[pivot, even]] : [[even, pivot]];
    for (let step = 1; step < even / 2; step++) pairings.push([wrapped(pivot + step), wrapped(pivot - step)]);
    return pairings.filter((pairing) => !pairing.includes(drivers + 1));
  });
}

/** Heats that pairs need to meet once on each lane, `runsPerLane` times over. */
export function pairsHeats(drivers: number, runsPerLane: number): number {
  return runsPerLane * drivers * (drivers - 1);
}

/**
 * Heats of the format `pairs`: the Berger table of the drivers in their order, then the same with lanes swapped, as
 * often as the request says; only the first table where it asks for so many heats. In a repair what was announced comes
 * first and then the table of those who race on, without the heats that were run: every two meet on each pair of lanes
 * as often as in a first draw, and of the heats that are left the next is one whose drivers did not just race.
 */
export function drawPairs(request: DrawRequest): Seat[][] {
  const [first = 1, second = 2] = steppingLanes(request).sort((a, b) => a - b);
  const drivers = racing(request);
  const wanted = tables(drivers, request);
  const waiting = withoutRun(wanted, request.done);
  const repair = request.done.length > 0 || request.published.length > 0;
  const order = repair ? inOrder(waiting, request, first, second) : waiting;
  return order.map(([a, b]) => {
    const seats: Seat[] = Array<Seat>(request.lanes).fill(null);
    seats[first - 1] = a;
    seats[second - 1] = b;
    return seats;
  });
}

type Meeting = readonly [first: Driver, second: Driver];

function tables(drivers: readonly Driver[], request: DrawRequest): Meeting[] {
  const named = ([a, b]: Pairing): Meeting => [drivers[a - 1] as Driver, drivers[b - 1] as Driver];
  const leg = drivers.length < 2 ? [] : bergerRounds(drivers.length).flat().map(named);
  if (request.heats !== null && request.heats === leg.length) return leg;
  const swapped = leg.map(([a, b]): Meeting => [b, a]);
  return Array.from({ length: request.runsPerLane }, () => [...leg, ...swapped]).flat();
}

/** Takes one meeting off for each that was run, whichever two lanes it was run on. */
function withoutRun(wanted: readonly Meeting[], done: readonly (readonly Seat[])[]) {
  const run = new Map<string, number>();
  for (const row of done) {
    const key = JSON.stringify(row.filter((seat) => seat !== null));
    run.set(key, (run.get(key) ?? 0) + 1);
  }
  return wanted.filter((meeting) => {
    const key = JSON.stringify(meeting);
    const left = run.get(key) ?? 0;
    if (left > 0) run.set(key, left - 1);
    return left === 0;
  });
}

function inOrder(waiting: Meeting[], request: DrawRequest, first: number, second: number): Meeting[] {
  const order: Meeting[] = [];
  const take = (index: number) => order.push(...waiting.splice(index, 1));
  for (const row of request.published) {
    const index = waiting.findIndex(([a, b]) => a === row[first - 1] && b === row[second - 1]);
    if (index >= 0) take(index);
  }
  while (waiting.length > 0) {
    const before: readonly Seat[] = order.at(-1) ?? request.done.at(-1) ?? [];
    const rested = waiting.findIndex((meeting) => !meeting.some((driver) => before.includes(driver)));
    take(Math.max(0, rested));
  }
  return order;
}
