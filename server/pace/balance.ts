import { type Answer, answerOf, fillAnswer, type HandicapMode } from './handicap-values.ts';
import { exp } from './numeric/repeatable.ts';
import type { HeatLength, StarterDraws } from './score-draws.ts';

/** A heat whose chances are to be made equal. Amounts are in seconds or laps, see `fillAnswer`. */
export interface BalanceTask {
  readonly length: HeatLength;
  readonly mode: HandicapMode;
  /** By starter. */
  readonly runs: readonly StarterDraws[];
  /** By starter: an amount that is given, or null where it is to be found. */
  readonly given: readonly (number | null)[];
}

export interface Balance {
  /** As in the task. */
  readonly given: readonly (number | null)[];
  /** By starter, at least 0. */
  readonly amounts: readonly number[];
  /** Amounts that make expected scores equal, with none given: the first guess. */
  readonly equalScores: readonly number[];
  /** Greatest difference between a chance that could be made equal and its share, in the smoothed chances. */
  readonly error: number;
  /** Rounds used. */
  readonly rounds: number;
}

/** More rounds are never made. */
export const mostRounds = 40;
/** Scores closer than this share of their own spread count as nearly joint: first coarsely, then finely. */
const smoothings = [0.25, 0.08] as const;
/** And never closer than these, in laps and in seconds. */
const smoothLimits = { time: [0.12, 0.04], laps: [1, 0.3] } as const;
const goodEnough = [1e-3, 1e-9] as const;

/**
 * Finds the amounts of handicap that give each starter the same chance to win, by Newton's method on smoothed wins: a run
 * is won in shares of exp(score / h) (the softmax), so chances change smoothly with the amounts. Where amounts are given the
 * others are found around them, each at 1 / starters as far as an amount of at least 0 allows.
 *
 * Yields after each round.
 */
export function* balancing(task: BalanceTask): Generator<void, Balance> {
  const { runs, given, mode, length } = task;
  const answers = runs.map(answerOf);
  const fill = (amounts: readonly number[]) => {
    for (const [i, run] of runs.entries()) fillAnswer(run, length, mode, amounts[i] as number, answers[i] as Answer);
  };
  fill(runs.map(() => 0));
  const scale = scaleOf(length, mode, answers);
  const equalScores = equalScoresOf(task, answers);
  const fixed = given.some((amount) => amount !== null);
  let amounts = equalScores.map((amount, i) => given[i] ?? amount);
  const level = (list: readonly number[]) => {
    const least = fixed ? 0 : Math.min(...list);
    return list.map((x, i) => given[i] ?? Math.min(scale * 0.995, Math.max(0, x - least)));
  };
  fill(amounts);
  const spread = meanSpread(answers);
  let rounds = 0;
  let state: State = {
    amounts,
    error: 0,
    merit: 0,
    held: [],
    chances: new Float64Array(0),
    jacobian: new Float64Array(0),
  };
  for (const [phase, share] of smoothings.entries()) {
    const h = Math.max(scale * 1e-5, Math.min(smoothLimits[length.kind][phase] as number, share * spread));
    const look = (list: readonly number[]): State => {
      fill(list);
      const smoothed = smoothedChances(answers, h);
      const held = list.map((x, i) => given[i] !== null || (fixed && x <= 0 && wants(smoothed.chances, i) < 0));
      if (!fixed) held[list.indexOf(Math.min(...list))] = true;
      const errors = list.map((_, i) => (held[i] && fixed ? 0 : wants(smoothed.chances, i)));
      const merit = errors.reduce((sum, x) => sum + x * x, 0);
      return { ...smoothed, amounts: list, held, merit, error: Math.max(0, ...errors.map(Math.abs)) };
    };
    state = look(amounts);
    while (state.error > (goodEnough[phase] as number) && rounds < mostRounds) {
      rounds += 1;
      const step = newtonStep(state, scale);
      let better: State | null = null;
      for (let part = 1; part > 0.05 && better === null; part /= 2) {
        const tried = look(level(state.amounts.map((x, i) => x + part * (step[i] as number))));
        if (tried.merit < state.merit) better = tried;
      }
      yield;
      if (better === null) break;
      state = better;
    }
    amounts = [...state.amounts];
  }
  return { given, amounts, equalScores, error: state.error, rounds };
}

interface State {
  readonly amounts: readonly number[];
  /** Starters whose amount does not move in the next step. */
  readonly held: readonly boolean[];
  readonly chances: Float64Array;
  /** Change of chance i with amount j, at i * starters + j. */
  readonly jacobian: Float64Array;
  readonly merit: number;
  readonly error: number;
}

const wants = (chances: Float64Array, i: number) => (chances[i] as number) - 1 / chances.length;

const mean = (list: Float64Array) => list.reduce((sum, x) => sum + x, 0) / list.length;

/** What a large amount is: the whole heat. */
function scaleOf(length: HeatLength, mode: HandicapMode, answers: readonly Answer[]): number {
  if (length.kind === 'time' && mode === 'delay') return length.durationMs / 1000;
  return Math.max(1e-3, ...answers.map(({ value }) => Math.abs(mean(value))));
}

function equalScoresOf({ length, mode }: BalanceTask, answers: readonly Answer[]): number[] {
  const scores = answers.map(({ value }) => mean(value));
  const [least, most] = [Math.min(...scores), Math.max(...scores)];
  if (mode === 'credit') return scores.map((score) => most - score);
  if (length.kind === 'laps') return scores.map((score) => score - least);
  return scores.map((score) => (score > 0 ? (length.durationMs / 1000) * (1 - least / score) : 0));
}

function meanSpread(answers: readonly Answer[]): number {
  const variances = answers.map(({ value }) => {
    const middle = mean(value);
    return value.reduce((sum, x) => sum + (x - middle) * (x - middle), 0) / value.length;
  });
  return Math.sqrt(variances.reduce((sum, x) => sum + x, 0) / variances.length);
}

/** Chances with wins shared by the softmax at width h, and how they change with the amounts. */
function smoothedChances(answers: readonly Answer[], h: number): { chances: Float64Array; jacobian: Float64Array } {
  const k = answers.length;
  const runs = answers[0]?.value.length ?? 0;
  const chances = new Float64Array(k);
  const jacobian = new Float64Array(k * k);
  const share = new Float64Array(k);
  for (let s = 0; s < runs; s += 1) {
    let best = Number.NEGATIVE_INFINITY;
    for (let i = 0; i < k; i += 1) best = Math.max(best, answers[i]?.value[s] as number);
    let sum = 0;
    for (let i = 0; i < k; i += 1) {
      const below = ((answers[i]?.value[s] as number) - best) / h;
      const weight = below < -40 ? 0 : exp(below);
      share[i] = weight;
      sum += weight;
    }
    for (let j = 0; j < k; j += 1) {
      const p = (share[j] as number) / sum;
      share[j] = p;
      chances[j] = (chances[j] as number) + p;
    }
    for (let j = 0; j < k; j += 1) {
      const p = share[j] as number;
      if (p === 0 || p === 1) continue;
      const answer = ((answers[j]?.slope[s] as number) * p) / h;
      for (let i = 0; i < k; i += 1) {
        jacobian[i * k + j] = (jacobian[i * k + j] as number) + answer * ((i === j ? 1 : 0) - (share[i] as number));
      }
    }
  }
  for (let i = 0; i < k; i += 1) chances[i] = (chances[i] as number) / runs;
  for (let i = 0; i < k * k; i += 1) jacobian[i] = (jacobian[i] as number) / runs;
  return { chances, jacobian };
}

/** One damped Newton step of the starters that may move, at most 3 % of the heat for each. */
function newtonStep({ chances, jacobian, held }: State, scale: number): number[] {
  const k = chances.length;
  const free = held.flatMap((isHeld, i) => (isHeld ? [] : [i]));
  const n = free.length;
  const width = n + 1;
  const rows = new Float64Array(n * width);
  for (const [a, i] of free.entries()) {
    for (const [b, j] of free.entries()) rows[a * width + b] = (jacobian[i * k + j] as number) * scale;
    // The diagonal has the sign of the slope; damping must not lessen it.
    const diagonal = rows[a * width + a] as number;
    rows[a * width + a] = diagonal + (signOfSlope(jacobian, k) < 0 ? -1e-4 : 1e-4);
    rows[a * width + n] = -wants(chances, i);
  }
  const solution = eliminate(rows, n);
  const step = new Array<number>(k).fill(0);
  for (const [a, i] of free.entries()) {
    step[i] = scale * Math.min(0.03, Math.max(-0.03, solution[a] as number));
  }
  return step;
}

/** Delays lower chances, credits raise them. */
function signOfSlope(jacobian: Float64Array, k: number): number {
  let trace = 0;
  for (let i = 0; i < k; i += 1) trace += jacobian[i * k + i] as number;
  return trace;
}

/** Solves a small system by Gauss's elimination with pivots; each row ends with its right side. Singular parts give 0. */
function eliminate(rows: Float64Array, n: number): Float64Array {
  const width = n + 1;
  const at = (i: number, j: number) => rows[i * width + j] as number;
  for (let c = 0; c < n; c += 1) {
    let pivot = c;
    for (let i = c + 1; i < n; i += 1) if (Math.abs(at(i, c)) > Math.abs(at(pivot, c))) pivot = i;
    for (let j = c; j < width; j += 1) {
      const kept = at(c, j);
      rows[c * width + j] = at(pivot, j);
      rows[pivot * width + j] = kept;
    }
    if (at(c, c) === 0) continue;
    for (let i = c + 1; i < n; i += 1) {
      const factor = at(i, c) / at(c, c);
      for (let j = c; j < width; j += 1) rows[i * width + j] = at(i, j) - factor * at(c, j);
    }
  }
  const solution = new Float64Array(n);
  for (let i = n - 1; i >= 0; i -= 1) {
    let sum = at(i, n);
    for (let j = i + 1; j < n; j += 1) sum -= at(i, j) * (solution[j] as number);
    solution[i] = at(i, i) === 0 ? 0 : sum / at(i, i);
  }
  return solution;
}
