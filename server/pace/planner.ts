import { groupBy } from '../shared/group-by.ts';
import type { Random } from '../shared/random.ts';
import { type Balance, balancing, mostRounds } from './balance.ts';
import { chanceBlocks, type Told, tellingChances } from './chances.ts';
import type { AmountSteps, HandicapPlan, HandicapProgress, HandicapRequest } from './handicap.ts';
import { unitsIn } from './handicap-values.ts';
import { randomFor } from './numeric/draws.ts';
import { exp } from './numeric/repeatable.ts';
import type { Starter } from './pace-fit.ts';
import { drawRuns } from './score-draws.ts';
import { soundStarters } from './sound-starter.ts';

const searchRuns = 4000;

/**
 * Finds handicaps and tells chances, step by step: yields often, so that the caller can show progress or stop. The same
 * request gives the same plan on every machine, whatever the order of its starters.
 *
 * Method: scores are drawn from pace, its uncertainty and crashes; amounts that make chances equal are found by Newton's
 * method on the same draws; then come dial, cap and rounding, and the chances are counted in fresh draws, because those of
 * the search are too good.
 *
 * @throws RangeError for a length, dial, step or cap out of range, or lists that do not match
 */
export function* planningHeat(request: HandicapRequest): Generator<HandicapProgress, HandicapPlan> {
  check(request);
  const { starters, byHand, back } = sortedStarters(request);
  const { length } = request;
  const mode = request.mode === 'off' ? 'delay' : request.mode;
  const units = unitsIn(length, mode);
  const byPerson = byHand.some((amount) => amount !== null);
  const searches = request.mode === 'off' ? 0 : byPerson && request.aroundHand ? 2 : 1;
  const of = searches * mostRounds + chanceBlocks;
  const from = (first: number) => (n: number) => ({ done: first + n, of });

  let proposal = nobodyGets(starters.length);
  let amounts = byHand.map((amount) => amount ?? 0);
  if (searches > 0) {
    const randoms = randomsOf(starters, request.seed, 'search');
    const runs = starters.map((starter, i) => drawRuns(starter, length, searchRuns, randoms[i] as Random));
    const task = { length, mode, runs, given: byHand.map(() => null) } as const;
    proposal = proposalFrom(request, starters, yield* counted(balancing(task), from(0)));
    let kept = proposal;
    if (searches > 1) {
      const given = byHand.map((amount) => (amount === null ? null : amount / units));
      kept = proposalFrom(request, starters, yield* counted(balancing({ ...task, given }), from(mostRounds)));
    }
    amounts = kept.amounts.map((amount, i) => byHand[i] ?? amount);
  }
  const inUnits = (list: readonly number[]) => list.map((amount) => amount / units);
  const sets = [byHand.map(() => 0), proposal.amounts, ...(byPerson ? [amounts] : [])].map(inUnits);
  const fresh = randomsOf(starters, request.seed, 'fresh');
  const told = yield* counted(tellingChances(starters, fresh, length, mode, sets), from(searches * mostRounds));
  const [before, proposed, after = proposed] = told as [Told, Told, Told?];
  return {
    amounts: back(amounts),
    proposed: back(proposal.amounts),
    winBefore: back(before.chances),
    winProposed: back(proposed.chances),
    winAfter: back(after.chances),
    scoreBefore: back(before.scores),
    scoreAfter: back(after.scores),
    steps: back(proposal.steps),
    error: proposal.error,
    seed: request.seed,
  };
}

/** `planningHeat` at one go. */
export function planHeat(request: HandicapRequest): HandicapPlan {
  const work = planningHeat(request);
  let step = work.next();
  while (!step.done) step = work.next();
  return step.value;
}

function* counted<T>(
  work: Generator<void, T>,
  progress: (n: number) => HandicapProgress,
): Generator<HandicapProgress, T> {
  for (let n = 0; ; n += 1) {
    const step = work.next();
    if (step.done) return step.value;
    yield progress(n);
  }
}

function check({ length, starters, dial, cap, step, byHand }: HandicapRequest): void {
  const long = length.kind === 'time' ? length.durationMs : length.laps;
  if (!Number.isFinite(long) || long <= 0) throw new RangeError('a heat has a length above 0');
  if (!(dial >= 0 && dial <= 1)) throw new RangeError('the dial goes from 0 to 1');
  if (cap !== null && !(cap >= 0)) throw new RangeError('a cap is at least 0');
  if (!(step > 0 && Number.isFinite(step))) throw new RangeError('a step is above 0');
  if (byHand.length !== starters.length) throw new RangeError('one amount by hand, or null, for each starter');
  if (byHand.some((amount) => amount !== null && !(Number.isInteger(amount) && amount >= 0)))
    throw new RangeError('amounts by hand are whole numbers of at least 0');
}

/**
 * Starters in an order of their own, and the way back. Sums depend in their last bits on the order of the terms; so the
 * order given must not matter.
 */
function sortedStarters(request: HandicapRequest) {
  const sound = soundStarters(request.starters);
  const keys = sound.map((starter, i) => JSON.stringify([starter.driver, figures(starter), request.byHand[i]]));
  const order = sound.map((_, i) => i).sort((a, b) => compare(keys[a] as string, keys[b] as string) || a - b);
  return {
    starters: order.map((i) => sound[i] as Starter),
    byHand: order.map((i) => request.byHand[i] ?? null),
    back: <T>(list: readonly T[]): T[] => {
      const out = new Array<T>(list.length);
      for (const [place, i] of order.entries()) out[i] = list[place] as T;
      return out;
    },
  };
}

const compare = (a: string, b: string) => (a < b ? -1 : a > b ? 1 : 0);

const figures = ({ driver: _, ...rest }: Starter) => JSON.stringify(rest);

/** Random numbers by starter; a driver who stands there twice has different ones. */
function randomsOf(starters: readonly Starter[], seed: number, use: string): Random[] {
  const seen = new Map<string, number>();
  return starters.map(({ driver }) => {
    const times = seen.get(driver) ?? 0;
    seen.set(driver, times + 1);
    return randomFor(seed, `${use} ${times} ${driver}`);
  });
}

interface Proposal {
  /** Whole numbers, with dial, cap and rounding. */
  readonly amounts: readonly number[];
  readonly steps: readonly AmountSteps[];
  readonly error: number;
}

function nobodyGets(starters: number): Proposal {
  const none = { pace: 0, crashes: 0, equal: 0, dialled: 0, capped: 0 };
  return { amounts: new Array<number>(starters).fill(0), steps: new Array<AmountSteps>(starters).fill(none), error: 0 };
}

function proposalFrom(request: HandicapRequest, starters: readonly Starter[], balance: Balance): Proposal {
  const { length, mode, dial, cap, step } = request;
  const units = unitsIn(length, mode === 'credit' ? 'credit' : 'delay');
  const paces = paceAmounts(request, starters);
  const equal = alike(balance, starters);
  const steps = starters.map((_, i): AmountSteps => {
    const solved = (equal[i] as number) * units;
    const dialled = dial * solved;
    return {
      pace: (paces[i] as number) * units,
      crashes: (balance.equalScores[i] as number) * units,
      equal: solved,
      dialled,
      capped: Math.min(dialled, cap ?? dialled),
    };
  });
  const amounts = steps.map(({ capped }) => Math.round(step * Math.round(capped / step)));
  return { amounts, steps, error: balance.error };
}

/** Starters with the same figures get the same: what is left between them is chance of the draws. */
function alike({ amounts, given }: Balance, starters: readonly Starter[]): number[] {
  const evened = [...amounts];
  for (const group of groupBy([...starters.keys()], (i) => `${given[i]} ${figures(starters[i] as Starter)}`).values()) {
    const mean = group.reduce((sum, i) => sum + (amounts[i] as number), 0) / group.length;
    for (const i of group) evened[i] = mean;
  }
  const least = given.some((amount) => amount !== null) ? 0 : Math.min(...evened);
  return evened.map((amount) => amount - least);
}

/** Amounts for equal distance at clean pace: pursuit starts, as sailing has them (T x (1 - pace / slowest pace)). */
function paceAmounts({ length, mode }: HandicapRequest, starters: readonly Starter[]): number[] {
  const laps = starters.map(({ logPace, lapSd }) => exp(logPace + (lapSd * lapSd) / 2));
  const [quickest, slowest] = [Math.min(...laps), Math.max(...laps)];
  return laps.map((lap) => {
    if (length.kind === 'laps') return length.laps * (mode === 'credit' ? lap - quickest : slowest - lap);
    const durationS = length.durationMs / 1000;
    return mode === 'credit' ? durationS / quickest - durationS / lap : durationS * (1 - lap / slowest);
  });
}
