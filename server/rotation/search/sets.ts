import { randomFrom } from '../../shared/random.ts';
import { cooling, type Meter, type Stage } from './annealing.ts';
import { type BlockSearch, searchBlocks } from './base-blocks.ts';
import { annealOrder } from './heat-order.ts';
import { colourLanes, seatsOf } from './lanes.ts';
import { costOf, figuresOf, leastPairSquares } from './score.ts';
import { annealSeats } from './seating.ts';
import { annealSets, type Cooled } from './set-annealing.ts';
import { type HeatSets, type Shape, shapeOf, wrappedSets } from './shape.ts';
import { symmetriesOf } from './symmetry.ts';
import type { DrawTask, Search, SearchProgress, Seats } from './task.ts';
import { waitsPricer } from './waits.ts';
import { type Weights, weightsFor } from './weights.ts';

/** Work between two progresses, in nominal nanoseconds. */
const sliceNs = 2_000_000;
const nsPerStep = 1000;

/** Shares of the budget at which the parts of a search end. */
const ends = { blocks: 0.2, sets: 0.6, order: 0.7 } as const;

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
    const cost = costOf(figuresOf(seats, shape), weights);
    if (cost >= best.cost) return;
    best.seats = seats.slice();
    best.cost = cost;
  };
  const offerSets = (sets: HeatSets) => offer(seatsOf(colourLanes(sets, shape, random)));
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

  let sets = wrappedSets(shape);
  offerSets(sets);
  yield progress();

  const everybodyInEveryHeat = shape.seats === shape.drivers * shape.heats;
  if (!everybodyInEveryHeat) {
    const pool = new BestSets(sets, shape, weights);
    const searches: BlockSearch[] = [];
    const symmetries = symmetriesOf(shape);
    for (const [i, symmetry] of symmetries.entries()) {
      const search = searchBlocks(symmetry, shape, weights, meter, random);
      searches.push(search);
      yield* work(search, (endNs * ends.blocks * (i + 1)) / symmetries.length);
      if (search.best !== null) pool.take(search.best);
      if (i === 0) offerSets(pool.best);
    }
    sets = pool.best;
    offerSets(sets);
    yield progress();

    if (weights.pairs > weights.backToBack) {
      const pairs = { ...weights, backToBack: 0, sitOut: 0, midNight: 0 };
      const goal = (weights.pairs * leastPairSquares(shape)) / 2;
      if (pool.pairCost(sets) > goal) {
        const annealing = annealSets(
          sets,
          shape,
          pairs,
          cooled(weights.pairs * 0.45, weights.pairs * 0.2, meter, endNs * ends.sets, goal),
          meter,
          random,
        );
        yield* work(annealing, endNs * ends.sets);
        pool.take(annealing.best);
      }
    } else {
      const annealing = annealSets(
        sets,
        shape,
        weights,
        cooled(weights.backToBack * 0.5, weights.pairs * 0.2, meter, endNs * ends.sets, 0),
        meter,
        random,
      );
      yield* work(annealing, endNs * ends.sets);
      pool.take(annealing.best);
    }
    sets = pool.best;
    offerSets(sets);
    yield progress();

    const untilNs = Math.min(endNs, meter.spentNs + endNs * (ends.order - ends.sets));
    const order = annealOrder(
      sets,
      shape,
      weights,
      cooled(weights.backToBack * 0.3, 0.5, meter, untilNs, 0),
      meter,
      random,
    );
    yield* work(order, untilNs);
    sets = order.best;
    offerSets(sets);
    yield progress();
  }

  const lanes = colourLanes(sets, shape, random);
  const seating = annealSeats(
    sets,
    lanes,
    shape,
    weights,
    cooled(weights.carryOver * 3, weights.carryOver / 3, meter, endNs, 0),
    meter,
    random,
  );
  while (!seating.done && meter.spentNs < endNs) {
    seating.run(Math.min(endNs, meter.spentNs + sliceNs));
    offer(seating.best);
    yield progress();
  }
  return best.seats;
}

function cooled(hot: number, cold: number, meter: Meter, untilNs: number, goal: number): Cooled {
  return { temperature: cooling(hot, cold, meter.spentNs, untilNs), untilNs, goal };
}

/** The best of the heats that several searches found, lanes left open. */
class BestSets {
  best: HeatSets;
  private cost: number;
  private readonly priceWaits: (sets: HeatSets) => number;
  private readonly shape: Shape;
  private readonly weights: Weights;

  constructor(start: HeatSets, shape: Shape, weights: Weights) {
    this.shape = shape;
    this.weights = weights;
    this.priceWaits = waitsPricer(shape, weights);
    this.best = start;
    this.cost = this.costOf(start);
  }

  take(sets: HeatSets): void {
    const cost = this.costOf(sets);
    if (cost >= this.cost) return;
    this.best = sets;
    this.cost = cost;
  }

  pairCost({ members, sizes }: HeatSets): number {
    const { drivers, heats, width } = this.shape;
    const met = new Int32Array(drivers * drivers);
    let squares = 0;
    for (let h = 0; h < heats; h++) {
      for (let i = h * width, end = i + (sizes[h] as number); i < end; i++) {
        for (let j = i + 1; j < end; j++) {
          const [a, b] = [members[i] as number, members[j] as number];
          const cell = a < b ? a * drivers + b : b * drivers + a;
          const before = met[cell] as number;
          squares += 2 * before + 1;
          met[cell] = before + 1;
        }
      }
    }
    return (this.weights.pairs * squares) / 2;
  }

  private costOf(sets: HeatSets): number {
    return this.pairCost(sets) + this.priceWaits(sets);
  }
}
