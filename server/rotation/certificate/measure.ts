import type { Certificate, Criterion, DrawRequest, Driver, Seat, Verdict, Why } from '../rotation.ts';
import { mostCars, steppingLanes } from '../rotation.ts';
import * as bounds from './bounds.ts';

/** What to say of a figure that does not meet its bound. */
export interface Unreached {
  readonly verdict: Exclude<Verdict, 'proved best'>;
  readonly why: Why;
}

/**
 * Measures any rotation, also one edited by hand, and sets each figure beside its bound. "Proved best" is said only of
 * a figure that equals its bound.
 *
 * @param request the drivers, lanes, cap and marshals that the heats were drawn for
 * @param heats one row a heat, one seat a lane of the track
 * @param marshals one row a heat
 * @param unreached verdict of figures above their bound
 * @throws RangeError when a heat seats somebody who is not among the drivers
 */
export function measureRotation(
  request: DrawRequest,
  heats: readonly (readonly Seat[])[],
  marshals: readonly (readonly Driver[])[],
  unreached: Unreached,
): Certificate {
  const seats = seatIndices(request.drivers, heats);
  const n = request.drivers.length;
  const heatsOf = Array.from({ length: n }, (_, d) => seats.flatMap((row, h) => (row.includes(d) ? [h] : [])));
  const shape: bounds.Shape = {
    heats: heats.length,
    runs: heatsOf.map((list) => list.length),
    lanes: steppingLanes(request),
    mostCars: mostCars(request),
  };
  const judge = (achieved: number, bound: number, proof: Why = 'bound reached'): Criterion =>
    achieved === bound ? { bound, verdict: 'proved best', why: proof } : { bound, ...unreached };

  const spread = laneSpread(seats, n, shape.lanes);
  const laneBound = bounds.laneSpreadBound(shape);
  const meetings = countPairs(n, meetingsOf(seats), false);
  const neighbours = countPairs(n, neighboursOf(seats), false);
  const carryOver = countPairs(n, takeOversOf(seats), true);
  const backToBack = heatsOf.reduce(
    (sum, list) => sum + list.filter((h, i) => h === (list[i - 1] ?? -2) + 1).length,
    0,
  );
  const longest = Math.max(0, ...heatsOf.map((list) => longestWait(list, heats.length)));
  const deviation = heatsOf.reduce((sum, list) => sum + offMidNight(list, heats.length), 0);
  const duty = dutyFigures(request, marshals);

  return {
    lanes: { spread, ...judge(spread, laneBound, 'theorem') },
    opponents: { ...meetings, spreadBound: 0, ...judge(meetings.sumSquares, bounds.opponentsBound(shape)) },
    backToBack: { count: backToBack, ...judge(backToBack, bounds.backToBackBound(shape)) },
    sitOut: { longest, ...judge(longest, bounds.sitOutBound(shape)) },
    neighbours: {
      max: neighbours.max,
      sumSquares: neighbours.sumSquares,
      ...judge(neighbours.sumSquares, bounds.neighboursBound(shape)),
    },
    carryOver: {
      max: carryOver.max,
      sumSquares: carryOver.sumSquares,
      // The bound is proved for even lanes only; without them nothing above 0 is certain.
      ...judge(carryOver.sumSquares, spread <= laneBound ? bounds.carryOverBound(shape) : 0),
    },
    duty: { ...duty.figures, ...judge(duty.figures.spread, duty.bound, 'theorem') },
    timeOfNight: { deviation, ...judge(deviation, bounds.timeOfNightBound(shape)) },
  };
}

/** Seats as indices into `drivers`, -1 for an empty lane. */
function seatIndices(drivers: readonly Driver[], heats: readonly (readonly Seat[])[]): number[][] {
  const indexOf = new Map(drivers.map((driver, i) => [driver, i]));
  return heats.map((row) =>
    row.map((seat) => {
      if (seat === null) return -1;
      const index = indexOf.get(seat);
      if (index === undefined) throw new RangeError(`${seat} is seated but not among the drivers`);
      return index;
    }),
  );
}

function laneSpread(seats: readonly number[][], n: number, lanes: readonly number[]): number {
  const runs = Array.from({ length: n }, () => new Map(lanes.map((lane) => [lane, 0])));
  for (const row of seats) {
    for (const [l, d] of row.entries()) runs[d]?.set(l + 1, (runs[d].get(l + 1) ?? 0) + 1);
  }
  return Math.max(0, ...runs.map((byLane) => Math.max(...byLane.values()) - Math.min(...byLane.values())));
}

type Pair = [first: number, second: number];

/** Every two drivers of each heat. */
function meetingsOf(seats: readonly number[][]): Pair[] {
  return seats.flatMap((row) => {
    const driving = row.filter((d) => d >= 0);
    return driving.flatMap((a, i) => driving.slice(i + 1).map((b): Pair => [a, b]));
  });
}

/** Every two drivers on lanes side by side. */
function neighboursOf(seats: readonly number[][]): Pair[] {
  return seats.flatMap((row) => row.slice(1).map((right, l): Pair => [row[l] ?? -1, right])).filter(isPair);
}

/** Every driver with the one who takes over the lane in the very next heat. */
function takeOversOf(seats: readonly number[][]): Pair[] {
  return seats.slice(1).flatMap((row, h) => row.map((after, l): Pair => [seats[h]?.[l] ?? -1, after]).filter(isPair));
}

const isPair = ([a, b]: Pair) => a >= 0 && b >= 0 && a !== b;

/** Least, most and sum of squares of how often each pair occurs; pairs that never occur count as 0. */
function countPairs(n: number, pairs: readonly Pair[], ordered: boolean) {
  const counts = new Map<number, number>();
  for (const [a, b] of pairs) {
    const key = ordered || a < b ? a * n + b : b * n + a;
    counts.set(key, (counts.get(key) ?? 0) + 1);
  }
  const met = [...counts.values()];
  const cells = ordered ? n * (n - 1) : (n * (n - 1)) / 2;
  return {
    min: met.length < cells || cells === 0 ? 0 : Math.min(...met),
    max: Math.max(0, ...met),
    sumSquares: met.reduce((sum, count) => sum + count * count, 0),
  };
}

function longestWait(heatsRun: readonly number[], heats: number): number {
  const ends = [...heatsRun, heats];
  return Math.max(0, ...ends.map((h, i) => h - (heatsRun[i - 1] ?? -1) - 1));
}

function offMidNight(heatsRun: readonly number[], heats: number): number {
  const sum = heatsRun.reduce((total, h) => total + h + 1, 0);
  return Math.abs(2 * sum - heatsRun.length * (heats + 1));
}

function dutyFigures(request: DrawRequest, marshals: readonly (readonly Driver[])[]) {
  const exempt = new Set(request.exempt);
  const duties = new Map(request.drivers.filter((driver) => !exempt.has(driver)).map((driver) => [driver, 0]));
  for (const driver of marshals.flat()) duties.set(driver, (duties.get(driver) ?? 0) + 1);
  const counts = [...duties.values()];
  const min = counts.length > 0 ? Math.min(...counts) : 0;
  const max = Math.max(0, ...counts);
  const shortage = Math.max(0, ...marshals.map((row) => request.marshals - row.length));
  return {
    figures: { min, max, spread: max - min, shortage },
    bound: bounds.dutySpreadBound(marshals.flat().length, counts.length),
  };
}
