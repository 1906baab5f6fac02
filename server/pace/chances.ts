import type { Random } from '../shared/random.ts';
import type { Expected } from './handicap.ts';
import { answerOf, fillAnswer, type HandicapMode } from './handicap-values.ts';
import type { Starter } from './pace-fit.ts';
import { drawRuns, type HeatLength } from './score-draws.ts';

const freshRuns = 20_000;
const blockRuns = 2500;
/** Yields of `tellingChances`. */
export const chanceBlocks = freshRuns / blockRuns;

export interface Told {
  /** By starter, adding up to 1. */
  readonly chances: readonly number[];
  readonly scores: readonly Expected[];
}

/**
 * Chances to win and expected scores under several sets of handicaps, all from the same 20,000 runs. Yields after each block
 * of them.
 *
 * @param randoms by starter
 * @param sets amounts by starter, in seconds or laps as in `fillAnswer`
 */
export function* tellingChances(
  starters: readonly Starter[],
  randoms: readonly Random[],
  length: HeatLength,
  mode: HandicapMode,
  sets: readonly (readonly number[])[],
): Generator<void, Told[]> {
  const tallies = sets.map(() => new Tally(starters.length));
  for (let block = 0; block < chanceBlocks; block += 1) {
    const runs = starters.map((starter, i) => drawRuns(starter, length, blockRuns, randoms[i] as Random));
    for (const [t, amounts] of sets.entries()) {
      const answers = runs.map((run, i) => {
        const answer = answerOf(run);
        fillAnswer(run, length, mode, amounts[i] as number, answer);
        return answer.value;
      });
      tallies[t]?.add(answers);
    }
    yield;
  }
  return tallies.map((tally) => tally.told());
}

class Tally {
  readonly #wins: Float64Array;
  readonly #sums: Float64Array;
  readonly #squares: Float64Array;

  constructor(starters: number) {
    this.#wins = new Float64Array(starters);
    this.#sums = new Float64Array(starters);
    this.#squares = new Float64Array(starters);
  }

  add(values: readonly Float64Array[]): void {
    addWins(values, this.#wins);
    for (const [i, list] of values.entries()) {
      for (const value of list) {
        this.#sums[i] = (this.#sums[i] as number) + value;
        this.#squares[i] = (this.#squares[i] as number) + value * value;
      }
    }
  }

  told(): Told {
    const scores = Array.from(this.#sums, (sum, i) => {
      const mean = sum / freshRuns;
      const variance = Math.max(0, (this.#squares[i] as number) / freshRuns - mean * mean);
      return { mean: Math.abs(mean), sd: Math.sqrt(variance) };
    });
    return { chances: Array.from(this.#wins, (wins) => wins / freshRuns), scores };
  }
}

/**
 * Counts who wins, by run: the greatest value; joint wins are split.
 *
 * @param values by starter, then by run
 * @param wins gets the shares of won runs added
 */
export function addWins(values: readonly Float64Array[], wins: Float64Array): void {
  const runs = values[0]?.length ?? 0;
  for (let s = 0; s < runs; s += 1) {
    let best = Number.NEGATIVE_INFINITY;
    let joint = 0;
    let winner = 0;
    for (let i = 0; i < values.length; i += 1) {
      const value = values[i]?.[s] as number;
      if (value > best) {
        best = value;
        joint = 1;
        winner = i;
      } else if (value === best) joint += 1;
    }
    if (joint === 1) wins[winner] = (wins[winner] as number) + 1;
    else {
      for (let i = 0; i < values.length; i += 1) if (values[i]?.[s] === best) wins[i] = (wins[i] as number) + 1 / joint;
    }
  }
}
