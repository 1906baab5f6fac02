import type { CountedNight } from './counted-night.ts';
import { meetingsOf, PairCounts } from './figures.ts';
import { balancedSquares, Levels, overEvenParts, pairsAmong, sumOf, sumOfSquares } from './squares.ts';

/**
 * Bounds for the sum of squared meetings over all pairs. Two counts meet here, joined by the trace identity: with N the
 * incidence matrix of drivers and heats, trace (N Nt)^2 = trace (Nt N)^2 says
 *
 *   2 x sum over pairs of drivers of meetings^2 + sum of runs^2 = 2 x sum over pairs of heats of overlap^2 + sum of sizes^2
 *
 * so even meetings and even overlaps of heats are the same thing.
 */
export interface OpponentsBounds {
  /** No rotation with the same runs in as many equally large heats has a smaller sum of squares. */
  readonly sumSquares: number;
  /** None has a smaller difference between most and fewest meetings of two drivers who still race. */
  readonly spread: number;
}

export function opponentsBounds(night: CountedNight): OpponentsBounds {
  const before = new PairCounts(night.nextRuns.length, meetingsOf(night.done));
  const toMeet = leastMeetings(night);
  const runsOn = (d: number) => (night.nextRuns[d] ?? 0) > 0;
  const open = new Levels(before.eitherCounts((a, b) => runsOn(a) && runsOn(b)));
  const closed = sumOfSquares(before.eitherCounts((a, b) => !(runsOn(a) && runsOn(b))));
  const byTotal = closed + open.leastSquares(toMeet);
  const byRows = night.evenSizes ? closed + leastByRows(night, before, toMeet) : 0;
  const best = Math.max(byTotal, byRows, leastByOverlaps(night));
  // A sum of squares is as odd as the sum, which equally large heats fix.
  const met = sumOf(night.doneSizes.map(pairsAmong)) + toMeet;
  const sumSquares = night.evenSizes && (best - met) % 2 !== 0 ? best + 1 : best;
  return { sumSquares, spread: leastSpread(night, before, open, toMeet, sumSquares > byTotal) };
}

/** Meetings in the heats to come, at least: as many as in equally large heats. */
const leastMeetings = (night: CountedNight) => overEvenParts(sumOf(night.nextSizes), night.next.length, pairsAmong);

/**
 * The meetings of each driver are nearly fixed by the runs: somebody with r runs in heats of s cars meets r (s - 1)
 * others. Every driver's meetings are spread over the others as evenly as can be; what is left open by heats of two
 * sizes goes where it costs least.
 */
function leastByRows(night: CountedNight, before: PairCounts, toMeet: number): number {
  const heats = night.next.length;
  if (heats === 0) return 0;
  const cars = sumOf(night.nextSizes);
  const small = Math.floor(cars / heats);
  const largeHeats = cars - small * heats;
  const drivers = night.nextRuns.flatMap((runs, d) => (runs > 0 ? [{ d, runs }] : []));
  let squares = 0;
  let open = 2 * toMeet;
  const steps: number[] = [];
  for (const { d, runs } of drivers) {
    const row = new Levels(drivers.filter((other) => other.d !== d).map((other) => before.either(d, other.d)));
    const least = runs * (small - 1) + Math.max(0, runs - (heats - largeHeats));
    const most = runs * (small - 1) + Math.min(runs, largeHeats);
    let cost = row.leastSquares(least);
    squares += cost;
    open -= least;
    for (let meetings = least + 1; meetings <= most; meetings++) {
      const next = row.leastSquares(meetings);
      steps.push(next - cost);
      cost = next;
    }
  }
  steps.sort((a, b) => a - b);
  return Math.ceil((squares + sumOf(steps.slice(0, open))) / 2);
}

/** What the heats share with each other, apart from pairs of heats that were both run. */
interface OpenOverlaps {
  /** Squares of what heats that were run share. */
  readonly fixedSquares: number;
  /** Drivers shared, added up over all other pairs of heats: fixed by the runs. */
  readonly sum: number;
  /** Number of other pairs of heats. */
  readonly cells: number;
  /** Squared meetings less squared overlaps: half of squared sizes less squared runs. */
  readonly offset: number;
}

function openOverlaps(night: CountedNight): OpenOverlaps {
  const { done, doneRuns, doneSizes, nextRuns, nextSizes, next } = night;
  const runs = nextRuns.map((r, d) => r + (doneRuns[d] ?? 0));
  const met = sumOfSquares(new PairCounts(runs.length, meetingsOf(done)).eitherCounts());
  const sizes = sumOfSquares(doneSizes) + overEvenParts(sumOf(nextSizes), next.length, (cars) => cars * cars);
  return {
    // By the identity, for the heats done alone.
    fixedSquares: met + (sumOfSquares(doneRuns) - sumOfSquares(doneSizes)) / 2,
    sum: sumOf(runs.map(pairsAmong)) - sumOf(doneRuns.map(pairsAmong)),
    cells: pairsAmong(done.length + next.length) - pairsAmong(done.length),
    offset: (sizes - sumOfSquares(runs)) / 2,
  };
}

/** Even overlaps, seen from the heats. With fewer heats than drivers this contains R. A. Fisher's inequality (1940). */
function leastByOverlaps(night: CountedNight): number {
  const { fixedSquares, sum, cells, offset } = openOverlaps(night);
  return Math.ceil(fixedSquares + balancedSquares(sum, cells) + offset);
}

function leastSpread(
  night: CountedNight,
  before: PairCounts,
  open: Levels,
  toMeet: number,
  unevenProved: boolean,
): number {
  if (!night.evenSizes) return 0;
  const runsOn = (d: number) => (night.nextRuns[d] ?? 0) > 0;
  const closed = before.eitherCounts(
    (a, b) => night.racing[a] === true && night.racing[b] === true && !(runsOn(a) && runsOn(b)),
  );
  const hasOpen = night.nextRuns.filter((runs) => runs > 0).length > 1;
  if (!hasOpen) return closed.length > 0 ? Math.max(...closed) - Math.min(...closed) : 0;
  const { least, most } = open.range(toMeet);
  const spread = Math.max(most, ...closed) - Math.min(least, ...closed);
  // In a first draw a spread of 0 or 1 is the same as the least sum of squares by the total.
  return night.done.length === 0 && closed.length === 0 && unevenProved ? Math.max(2, spread) : spread;
}

/** Pairs of heats that follow each other, without those that were both run. */
const openNeighbours = (night: CountedNight) => Math.max(0, night.next.length - (night.done.length === 0 ? 1 : 0));

/**
 * Fewest back-to-back runs in the heats to come (counting those from the last heat done) of any rotation whose sum of
 * squared meetings is at most the given one. Heats that follow each other share the back-to-backs; the fewer they share,
 * the more other heats must.
 */
export function backToBacksGivenOpponents(night: CountedNight, sumSquares: number): number {
  const open = openOverlaps(night);
  const neighbours = openNeighbours(night);
  const most = Math.ceil((open.sum * neighbours) / Math.max(1, open.cells));
  let count = 0;
  while (count < most && leastWith(open, neighbours, count) > sumSquares) count += 1;
  return count;
}

/** Least sum of squared meetings of any rotation with at most so many back-to-back runs in the heats to come. */
export function opponentsGivenBackToBacks(night: CountedNight, backToBacks: number): number {
  const open = openOverlaps(night);
  const neighbours = openNeighbours(night);
  const evenly = Math.floor((open.sum * neighbours) / Math.max(1, open.cells));
  const least = leastWith(open, neighbours, Math.min(backToBacks, evenly));
  const met = sumOf(night.doneSizes.map(pairsAmong)) + leastMeetings(night);
  return night.evenSizes && (least - met) % 2 !== 0 ? least + 1 : least;
}

function leastWith(open: OpenOverlaps, neighbours: number, backToBacks: number): number {
  const others = open.cells - neighbours;
  const rest = open.sum - backToBacks;
  // Only heats that follow each other are open: they share everything.
  if (others === 0 && rest > 0) return Number.POSITIVE_INFINITY;
  return Math.ceil(
    open.fixedSquares + balancedSquares(backToBacks, neighbours) + balancedSquares(rest, others) + open.offset,
  );
}

/**
 * Sum of squared meetings when the field falls into m fixed groups that take turns: what full heats come to when every
 * m heats in a row hold everybody once. Null where groups and heats do not fit.
 */
export function fixedGroupsSquares(night: CountedNight): number | null {
  const cars = night.nextSizes[0] ?? 0;
  const drivers = night.nextRuns.length;
  if (night.done.length > 0 || cars === 0 || drivers % cars !== 0) return null;
  if (night.nextSizes.some((size) => size !== cars) || night.nextRuns.some((runs) => runs === 0)) return null;
  const groups = drivers / cars;
  if (night.next.length < groups) return null;
  const turns = Array.from({ length: groups }, (_, g) => Math.ceil((night.next.length - g) / groups));
  return pairsAmong(cars) * sumOfSquares(turns);
}
