import { type Random, randomFrom } from '../../shared/random.ts';
import { cooling, type Meter, type Stage } from './annealing.ts';
import { searchBlocks } from './base-blocks.ts';
import { type BestSets, bestSets } from './best-sets.ts';
import { annealOrder } from './heat-order.ts';
import { colourLanes, seatsOf } from './lanes.ts';
import { completeLatinSquare } from './latin.ts';
import { costOf, figuresOf, leastPairSquares } from './score.ts';
import { annealSeats } from './seating.ts';
import { annealSets, type Cooled } from './set-annealing.ts';
import { type HeatSets, type Shape, shapeOf, wrappedSets } from './shape.ts';
import { symmetriesOf } from './symmetry.ts';
import type { DrawTask, Search, SearchProgress, Seats } from './task.ts';
import { type Weights, weightsFor } from './weights.ts';

/** Work between two progresses, in nominal nanoseconds. */
const sliceNs = 2_000_000;
/** Nominal nanoseconds in a unit of work, so that a second of search takes at most a second of a small machine. */
const nsPerStep = 750;

/**
 * Shares of the budget, tried out on the whole grid of the benchmark. Lanes get what is left.
 *
 * - `firstGroup`: base blocks of the largest group, which nearly always reach the least sum over pairs at once.
 * - `otherGroups`: base blocks of all others, where it does not.
 * - `blocksUntil`: more base blocks, where it does.
 * - `setsUntil`: annealing of heats ends there.
 * - `order`: annealing of the order of heats.
 */
const shares = { firstGroup: 0.05, otherGroups: 0.25, blocksUntil: 0.4, setsUntil: 0.6, order: 0.25 } as const;

/** What the parts of a search share. */
interface Frame {
  readonly shape: Shape;
  readonly weights: Weights;
  readonly random: Random;
  readonly meter: Meter;
  readonly endNs: number;
  /** Runs a stage bit by bit. */
  readonly work: (stage: Stage, untilNs: number) => Generator<SearchProgress, void>;
}

/**
 * Searches a first draw, where `needs` is null and nothing was run: who meets whom first, then the order of heats, then the
 * lanes. Lanes come last because any heats can be given lanes (see `lanes.ts`).
 *
 * @throws RangeError when the heats cannot hold the runs
 */
export function* searchSets(task: DrawTask): Search {
  const shape = shapeOf(task);
  const weights = weightsFor(task.preset, shape);
  const random = randomFrom(task.seed);
  const meter: Meter = { spentNs: 0 };
  const endNs = task.steps * nsPerStep;
  const best = { seats: new Int16Array() as Seats, cost: Infinity };
  let reported: Seats | null = null;

  const offer = (seats: Seats) => {
    meter.spentNs += 4 * shape.seats * shape.width + 4 * shape.drivers ** 2;
    const cost = costOf(figuresOf(seats, shape), weights);
    if (cost >= best.cost) return;
    best.seats = seats.slice();
    best.cost = cost;
  };
  const offerSets = (sets: HeatSets) => {
    meter.spentNs += 200 * shape.seats;
    offer(seatsOf(colourLanes(sets, shape, random)));
  };
  const progress = (): SearchProgress => {
    const better = best.seats === reported ? null : best.seats;
    reported = best.seats;
    return { done: Math.min(task.steps, Math.floor(meter.spentNs / nsPerStep)), better };
  };
  function* work(stage: Stage, untilNs: number): Generator<SearchProgress, void> {
    while (!stage.done && meter.spentNs < untilNs) {
      stage.run(Math.min(untilNs, meter.spentNs + sliceNs));
      yield progress();
    }
  }
  const frame: Frame = { shape, weights, random, meter, endNs, work };

  const complete = completeLatinSquare(shape);
  if (complete !== null) {
    offer(complete);
    yield progress();
    return best.seats;
  }

  const pool = bestSets(wrappedSets(shape), shape, weights);
  offerSets(pool.sets);
  yield progress();

  const everybodyInEveryHeat = shape.seats === shape.drivers * shape.heats;
  if (!everybodyInEveryHeat) {
    for (const part of [takeBlocks, annealPairsOrAll, takeOrder]) {
      yield* part(frame, pool);
      offerSets(pool.sets);
      yield progress();
    }
  }

  // Chains do not lead from every colouring to every other, least of all in small draws: several starts.
  const starts = Math.max(1, Math.min(8, Math.floor(400 / shape.seats)));
  for (let left = starts; left > 0 && meter.spentNs < endNs; left--) {
    const untilNs = meter.spentNs + (endNs - meter.spentNs) / left;
    const lanes = colourLanes(pool.sets, shape, random);
    const lanesCooled = cooled(weights.carryOver * 4, weights.carryOver * 0.66, meter, untilNs, 0);
    const seating = annealSeats(pool.sets, lanes, shape, weights, lanesCooled, meter, random);
    while (!seating.done && meter.spentNs < untilNs) {
      seating.run(Math.min(untilNs, meter.spentNs + sliceNs));
      offer(seating.best);
      yield progress();
    }
  }
  return best.seats;
}

function cooled(hot: number, cold: number, meter: Meter, untilNs: number, goal: number): Cooled {
  return { temperature: cooling(hot, cold, meter.spentNs, untilNs), untilNs, goal };
}

/**
 * Base blocks under each symmetry: first the largest group, then all others, the larger ones longer. Where one reaches the
 * least sum over pairs, the rest of the time goes to more base blocks of it, for the sake of their step orders.
 */
function* takeBlocks(frame: Frame, pool: BestSets): Generator<SearchProgress, void> {
  const { shape, weights, meter, random, endNs } = frame;
  const goal = weights.pairs * leastPairSquares(shape);
  const symmetries = symmetriesOf(shape);
  const places = symmetries.slice(1).reduce((sum, { group }) => sum + group, 0);
  let untilNs = endNs * shares.firstGroup;
  for (const [i, symmetry] of symmetries.entries()) {
    if (i > 0) untilNs += (endNs * shares.otherGroups * symmetry.group) / places;
    const search = searchBlocks(symmetry, shape, weights, meter, random);
    const hit = (): boolean => search.pairCost === goal;
    while (meter.spentNs < untilNs && !hit()) yield* frame.work(search, Math.min(untilNs, meter.spentNs + sliceNs));
    if (hit() || symmetries.length === 1) yield* frame.work(search, endNs * shares.blocksUntil);
    if (search.best !== null) pool.take(search.best);
    if (hit()) return;
  }
}

/**
 * Anneals who is in which heat. Where opponents count most, the order of heats is left for later; otherwise everything is
 * weighed together.
 */
function* annealPairsOrAll(frame: Frame, pool: BestSets): Generator<SearchProgress, void> {
  const { shape, weights, meter, random } = frame;
  const untilNs = frame.endNs * shares.setsUntil;
  const pairsFirst = weights.pairs > weights.backToBack;
  const goal = pairsFirst ? weights.pairs * leastPairSquares(shape) : 0;
  if (pairsFirst && pool.pairCost <= goal) return;
  // A step of the pairs costs twice the weight: accepted with a chance from 1 in 9 down to 1 in 150, or from 1 in 3 down to
  // 1 in 800 where back-to-backs have to be weighed, too.
  const hot = weights.pairs * (pairsFirst ? 0.9 : 2);
  const cold = weights.pairs * (pairsFirst ? 0.4 : 0.3);
  const annealing = annealSets(
    pool.sets,
    shape,
    pairsFirst ? { ...weights, backToBack: 0, sitOut: 0, midNight: 0 } : weights,
    cooled(hot, cold, meter, untilNs, goal),
    meter,
    random,
  );
  yield* frame.work(annealing, untilNs);
  pool.take(annealing.best);
}

/** Anneals the order of heats. */
function* takeOrder(frame: Frame, pool: BestSets): Generator<SearchProgress, void> {
  const { shape, weights, meter, random, endNs } = frame;
  const untilNs = Math.min(endNs, meter.spentNs + endNs * shares.order);
  const order = annealOrder(
    pool.sets,
    shape,
    weights,
    cooled(weights.backToBack, weights.backToBack * 0.25, meter, untilNs, 0),
    meter,
    random,
  );
  yield* frame.work(order, untilNs);
  pool.take(order.best);
}
