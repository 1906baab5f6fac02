import { randomFrom } from '../../shared/random.ts';
import { below, cooling, exponentialNumber } from './annealing.ts';
import { NightCost } from './needs-cost.ts';
import { NightMoves } from './needs-moves.ts';
import { startNight } from './needs-start.ts';
import type { DrawTask, Search, Seats } from './task.ts';

/** Temperatures, in costs of one back-to-back run: hotter starts lose what the legal start or the last round had. */
const hot = 4;
const cold = 0.02;
/** How often the search cools down. */
const rounds = 2;
/** Of a hundred moves so many try another order of heats, and so many other lanes for the same drivers. */
const orderMoves = 8;
const laneMoves = 15;
/** Nominal nanoseconds after which a search has done what it can, for each two seats that may change places. */
const usefulNs = 200_000;
const nsPerStep = 1000;
const reportEveryNs = 2_000_000;

/**
 * Heats for runs that are owed lane by lane, after heats were run: who came late catches up, who went home is out.
 *
 * Legal heats come first, from a colouring of the needs graph; then annealing by moves that keep every heat legal and
 * everybody's runs as they are. The announced next heat stays where it can (see `keptHeat`).
 *
 * @param task with `needs`; heats enough for them
 * @throws RangeError when the runs need more heats than the task has
 */
export function* searchNeeds(task: DrawTask): Search {
  const random = randomFrom(task.seed);
  const { night, from } = startNight(task, random);
  const firstSeat = task.done.length * night.lanes;
  let best: Seats = night.seats.slice(firstSeat);
  yield { done: 0, better: best };
  if (night.heats - from < 2) return best;

  const nightCost = new NightCost(night, task);
  const { weights } = nightCost;
  const moves = new NightMoves(night, nightCost, from, random);
  const openSeats = night.sizes.subarray(from).reduce((sum, size) => sum + size, 0);
  const roundNs = Math.min(task.steps * nsPerStep, openSeats * openSeats * usefulNs) / rounds;
  let cost = 0;
  let leastCost = 0;
  let reportedNs = 0;
  let improved = false;
  for (let round = 0; round < rounds; round += 1) {
    const untilNs = (round + 1) * roundNs;
    const temperature = cooling(hot * weights.backToBack, cold * weights.backToBack, round * roundNs, untilNs);
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
