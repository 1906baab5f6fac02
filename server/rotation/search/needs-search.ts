import { type Random, randomFrom } from '../../shared/random.ts';
import { below, cooling, exponentialNumber } from './annealing.ts';
import { announcedNight } from './needs-announced.ts';
import { betterChoice, choiceOf } from './needs-choice.ts';
import { NightCost } from './needs-cost.ts';
import { NightMoves } from './needs-moves.ts';
import { nightWith, startNight } from './needs-start.ts';
import { calmWeights, leastMainGain, type NightWeights, nearWeights, weightsOfNight } from './needs-weights.ts';
import type { DrawTask, Search, SearchProgress, Seats } from './task.ts';

/** Temperatures, in costs of one back-to-back run: hotter starts lose what the legal start or the last round had. */
const hot = 4;
const cold = 0.02;
/** How often the search cools down. */
const rounds = 2;
/** Shares of the work where heats were announced: close to them, further away, anew, and back to them. */
const shares = { calm: 0.1, near: 0.2, anew: 0.6, back: 0.1 } as const;
/** Of a hundred moves so many try another order of heats, and so many other lanes for the same drivers. */
const orderMoves = 8;
const laneMoves = 15;
/** Nominal nanoseconds after which a search has done what it can, for each two seats that may change places. */
const usefulNs = 200_000;
const nsPerStep = 1000;
const reportEveryNs = 2_000_000;

/** One annealing: from which heats, what counts, temperatures in costs, how often it cools down, and its work. */
interface Stage {
  readonly start: Seats;
  readonly weights: NightWeights;
  readonly hot: number;
  readonly cold: number;
  readonly rounds: number;
  readonly ns: number;
}

/**
 * Heats for runs that are owed lane by lane, after heats were run: who came late catches up, who went home is out.
 *
 * Legal heats come first, from a colouring of the needs graph; then annealing by moves that keep every heat legal and
 * everybody's runs as they are. The announced next heat stays where it can (see `keptHeat`). Where heats were announced
 * the search also starts from these, and which heats are better is said by `betterChoice`.
 *
 * @param task with `needs`; heats enough for them
 * @throws RangeError when the runs need more heats than the task has
 */
export function* searchNeeds(task: DrawTask): Search {
  const random = randomFrom(task.seed);
  const { night, from } = startNight(task, random);
  const heatsOf = (seats: Seats) => seats.slice(task.done.length * night.lanes);
  const anew = heatsOf(night.seats);
  const announced = announcedNight(task);
  const openSeats = night.sizes.subarray(from).reduce((sum, size) => sum + size, 0);
  const ns = Math.min(task.steps * nsPerStep, openSeats * openSeats * usefulNs);
  const weights = weightsOfNight(task);
  const fresh = (start: Seats, share: number): Stage => ({
    start,
    weights,
    hot: hot * weights.backToBack,
    cold: cold * weights.backToBack,
    rounds,
    ns: share * ns,
  });
  if (announced === null) {
    yield { done: 0, better: anew };
    if (night.heats - from < 2) return anew;
    return yield* anneal(task, from, random, fresh(anew, 1));
  }

  const favourite = new Favourite(task, anew);
  favourite.offer(heatsOf(announced.night.seats));
  yield { done: 0, better: favourite.seats };
  if (night.heats - from < 2) return favourite.seats;
  const stages: ((from: Seats) => Stage)[] = [
    () => calmStage(heatsOf(announced.night.seats), weights, shares.calm * ns),
    (calm) => nearStage(calm, weights, shares.near * ns),
    () => fresh(anew, shares.anew),
    () => calmStage(favourite.seats, weights, shares.back * ns),
  ];
  let last = favourite.seats;
  let before = 0;
  for (const next of stages) {
    const stage = next(last);
    last = yield* favourite.follow(anneal(task, from, random, stage), before, stage.ns);
    before += Math.floor(stage.ns / nsPerStep);
  }
  return favourite.seats;
}

/** Hardly warmer than a changed seat costs, so that the announced plan is not lost. */
function calmStage(start: Seats, weights: NightWeights, ns: number): Stage {
  const own = calmWeights(weights);
  return { start, weights: own, hot: own.changedSeat / 2, cold: own.changedSeat / 20, rounds: 1, ns };
}

/** As warm as it takes to pass over small hills, at a price for every changed seat. */
function nearStage(start: Seats, weights: NightWeights, ns: number): Stage {
  const gain = leastMainGain(weights);
  return { start, weights: nearWeights(weights), hot: 2 * gain, cold: cold * gain, rounds: 1, ns };
}

/** The heats preferred so far where heats were announced. */
class Favourite {
  readonly #task: DrawTask;
  #choice: ReturnType<typeof choiceOf>;

  constructor(task: DrawTask, seats: Seats) {
    this.#task = task;
    this.#choice = choiceOf(task, seats);
  }

  get seats(): Seats {
    return this.#choice.seats;
  }

  /** True when these heats are preferred from now on. */
  offer(seats: Seats): boolean {
    const choice = choiceOf(this.#task, seats);
    if (!betterChoice(this.#task, choice, this.#choice)) return false;
    this.#choice = choice;
    return true;
  }

  /** Passes on of a stage what is preferred to all before; answers the stage's own best heats. */
  *follow(stage: Search, before: number, ns: number): Search {
    for (;;) {
      const step = stage.next();
      if (step.done) {
        const done = before + Math.floor(ns / nsPerStep);
        if (this.offer(step.value)) yield { done, better: step.value };
        return step.value;
      }
      const { done, better } = step.value;
      yield { done: before + done, better: better !== null && this.offer(better) ? better : null };
    }
  }
}

function* anneal(task: DrawTask, from: number, random: Random, stage: Stage): Generator<SearchProgress, Seats> {
  const night = nightWith(task, stage.start);
  const firstSeat = task.done.length * night.lanes;
  const moves = new NightMoves(night, new NightCost(night, task, stage.weights), from, random);
  const roundNs = stage.ns / stage.rounds;
  let best = stage.start;
  let cost = 0;
  let leastCost = 0;
  let reportedNs = 0;
  let improved = false;
  for (let round = 0; round < stage.rounds; round += 1) {
    const untilNs = (round + 1) * roundNs;
    const temperature = cooling(stage.hot, stage.cold, round * roundNs, untilNs);
    while (moves.spentNs < untilNs) {
      if (moves.spentNs - reportedNs >= reportEveryNs) {
        reportedNs = moves.spentNs;
        yield { done: Math.floor(reportedNs / nsPerStep), better: improved ? best : null };
        improved = false;
      }
      const limit = temperature(moves.spentNs) * exponentialNumber(random);
      const kind = below(100, random);
      const change =
        kind < orderMoves
          ? moves.order(limit)
          : kind < orderMoves + laneMoves
            ? moves.lanes(limit)
            : moves.chain(limit);
      if (change === null) continue;
      cost += change;
      if (cost >= leastCost) continue;
      leastCost = cost;
      best = night.seats.slice(firstSeat);
      moves.spentNs += 4 * best.length;
      improved = true;
    }
  }
  return best;
}
