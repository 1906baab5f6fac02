import type { HandicapPlan, HandicapProgress, HandicapRequest } from '../pace/handicap.ts';
import { answerOf, fillAnswer, unitsIn } from '../pace/handicap-values.ts';
import { randomFor } from '../pace/numeric/draws.ts';
import { planningHeat } from '../pace/planner.ts';
import { drawRuns } from '../pace/score-draws.ts';
import { soundStarters } from '../pace/sound-starter.ts';

/** A heat's handicaps, and which result would be worth a second look. */
export interface HeatWithMargins {
  readonly plan: HandicapPlan;
  /**
   * By starter: a win by more than this has a probability of less than 1 %. Hundredths of a lap, or milliseconds, as the
   * heat is scored; 0 where any win has.
   */
  readonly surprising: readonly number[];
}

/** A win that has less than this probability is worth a second look. */
export const surprisingShare = 0.01;

const blocks = 4;
const blockRuns = 2500;

/**
 * Plans a heat, step by step, and finds the margins that nobody expects; see `planningHeat`.
 *
 * @throws RangeError as `planningHeat`
 */
export function* planningWithMargins(request: HandicapRequest): Generator<HandicapProgress, HeatWithMargins> {
  const plan = yield* planningHeat(request);
  const margins = request.starters.map((): number[] => []);
  const starters = soundStarters(request.starters);
  const { length } = request;
  const mode = request.mode === 'off' ? 'delay' : request.mode;
  const units = unitsIn(length, mode);
  const randoms = starters.map(({ driver }, i) => randomFor(request.seed, `margin ${i} ${driver}`));
  for (let block = 0; block < blocks; block += 1) {
    const values = starters.map((starter, i) => {
      const random = randoms[i] as ReturnType<typeof randomFor>;
      const runs = drawRuns(starter, length, blockRuns, random);
      const answer = answerOf(runs);
      fillAnswer(runs, length, mode, (plan.amounts[i] as number) / units, answer);
      return answer.value;
    });
    addMargins(values, margins);
    yield { done: block + 1, of: blocks };
  }
  const scale = length.kind === 'time' ? 100 : 1000;
  return { plan, surprising: margins.map((won) => marginOf(won, scale)) };
}

/** Adds to each starter the margins of the runs that it wins. */
function addMargins(values: readonly Float64Array[], margins: readonly number[][]): void {
  for (let s = 0; s < blockRuns; s += 1) {
    let winner = 0;
    let best = Number.NEGATIVE_INFINITY;
    let second = Number.NEGATIVE_INFINITY;
    for (const [i, runs] of values.entries()) {
      const value = runs[s] as number;
      if (value > best) {
        second = best;
        [best, winner] = [value, i];
      } else if (value > second) second = value;
    }
    // Somebody alone in a heat wins it by nothing.
    if (second > Number.NEGATIVE_INFINITY) margins[winner]?.push(best - second);
  }
}

function marginOf(won: readonly number[], scale: number): number {
  const rare = Math.floor(surprisingShare * blocks * blockRuns);
  const margin = [...won].sort((a, b) => b - a)[rare];
  return margin === undefined ? 0 : Math.ceil(scale * margin);
}
