import type { DrawTask } from './task.ts';
import { type Weights, weightsFor } from './weights.ts';

/** Weights of a night that has begun. */
export interface NightWeights extends Weights {
  /** Cost of each announced run that is not where it was announced. */
  readonly changedSeat: number;
}

/** What is left of a night: who still runs, in how many heats and seats. */
export function leftOf(task: DrawTask): { drivers: number; heats: number; seats: number } {
  const seats = task.runs.reduce((sum, runs) => sum + runs, 0);
  return { drivers: task.runs.filter((runs) => runs > 0).length, heats: task.heats, seats };
}

/** The objective: weights of the preset; of two nights as good the one wins that changes fewer announced runs. */
export function weightsOfNight(task: DrawTask): NightWeights {
  return { ...weightsFor(task.preset, leftOf(task)), changedSeat: task.published.length > 0 ? 1 : 0 };
}

/** The least gain in meetings and rest: a step of squared meetings, or one back-to-back run. */
export function leastMainGain({ pairs, backToBack }: Weights): number {
  return Math.min(2 * pairs, backToBack);
}

/**
 * For a search beside the announced plan: no number of changed runs (below 50) outweighs a gain in meetings or rest, and
 * everything else only decides between nights that change as many.
 */
export function calmWeights(weights: Weights): NightWeights {
  const { pairs, backToBack, sitOut } = weights;
  return {
    pairs: 100 * pairs,
    backToBack: 100 * backToBack,
    sitOut: 100 * sitOut,
    neighbours: 1,
    carryOver: 1,
    midNight: 0,
    changedSeat: 2 * leastMainGain(weights),
  };
}

/** For a search that goes further from the announced plan: ten changed runs weigh as much as the least main gain. */
export function nearWeights(weights: Weights): NightWeights {
  return { ...weights, changedSeat: Math.ceil(leastMainGain(weights) / 10) };
}
