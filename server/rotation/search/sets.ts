import { randomFrom } from '../../shared/random.ts';
import { cooling, type Meter, type Stage, shuffle } from './annealing.ts';
import { colourLanes, seatsOf } from './lanes.ts';
import { costOf, figuresOf } from './score.ts';
import { annealSets } from './set-annealing.ts';
import { shapeOf, wrappedSets } from './shape.ts';
import type { DrawTask, Search, SearchProgress, Seats } from './task.ts';
import { weightsOf } from './weights.ts';

/** Work between two progresses, in nominal nanoseconds. */
const sliceNs = 2_000_000;
const nsPerStep = 1000;

/**
 * Searches a first draw: `needs` is null and nothing was run.
 *
 * @throws RangeError when the heats cannot hold the runs
 */
export function* searchSets(task: DrawTask): Search {
  const shape = shapeOf(task);
  const weights = weightsOf[task.preset];
  const random = randomFrom(task.seed);
  const meter: Meter = { spentNs: 0 };
  const endNs = task.steps * nsPerStep;
  let best: { seats: Seats; cost: number } | null = null;
  let reported: Seats | null = null;

  const offer = (seats: Seats) => {
    const cost = costOf(figuresOf(seats, shape), weights);
    if (best === null || cost < best.cost) best = { seats, cost };
  };
  const progress = (): SearchProgress => {
    const seats = best?.seats ?? null;
    const better = seats === reported ? null : seats;
    reported = seats;
    return { done: Math.min(task.steps, Math.floor(meter.spentNs / nsPerStep)), better };
  };
  function* work(stage: Stage, untilNs: number): Generator<SearchProgress, void> {
    while (!stage.done && meter.spentNs < untilNs) {
      stage.run(Math.min(untilNs, meter.spentNs + sliceNs));
      yield progress();
    }
  }

  const start = wrappedSets(shape);
  offer(seatsOf(colourLanes(start, shape, random)));
  yield progress();

  const untilNs = endNs;
  const annealing = annealSets(
    start,
    shape,
    weights,
    { temperature: cooling(weights.pairs * 2, weights.pairs / 4, 0, untilNs), untilNs, goal: 0 },
    meter,
    random,
  );
  yield* work(annealing, endNs);
  offer(seatsOf(colourLanes(annealing.best, shape, random)));
  yield progress();
  return (best as { seats: Seats } | null)?.seats ?? new Int16Array();
}
