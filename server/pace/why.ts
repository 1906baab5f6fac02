import type { Expected, HandicapPlan, HandicapRequest } from './handicap.ts';
import { type HandicapMode, unitsIn } from './handicap-values.ts';
import { exp } from './numeric/repeatable.ts';
import type { Starter } from './pace-fit.ts';
import { crashChance } from './renewal.ts';
import { soundStarters } from './sound-starter.ts';

/** The figures behind "why is my delay 7.4 s?"; amounts in the units of the plan. */
export interface Why {
  readonly driver: string;
  readonly mode: HandicapMode | 'off';
  /** Units that make a second, or a lap. */
  readonly units: number;
  readonly amount: number;
  readonly own: PaceFigures;
  /** Who is slowest at clean pace. */
  readonly slowest: PaceFigures;
  /** Who gets nothing, or the least. */
  readonly least: PaceFigures;
  readonly scoreBefore: Expected;
  readonly scoreAfter: Expected;
  readonly winBefore: number;
  readonly winAfter: number;
  /** Whole numbers that add up to `amount`. */
  readonly parts: AmountParts;
}

export interface PaceFigures {
  readonly driver: string;
  /** Expected clean lap on this lane, and limits that hold in 9 of 10 heats, in seconds. */
  readonly lapS: number;
  readonly lowS: number;
  readonly highS: number;
  readonly crashesPer100Laps: number;
  /** Mean seconds lost in a crash. */
  readonly lossS: number;
}

export interface AmountParts {
  /** For the difference of clean pace. */
  readonly pace: number;
  /** For time lost in crashes, own and others'. */
  readonly crashes: number;
  /** For being more or less predictable than the others. */
  readonly uncertainty: number;
  readonly dial: number;
  readonly cap: number;
  readonly rounding: number;
  /** By a person: laid down, or following from what was laid down for others. */
  readonly hand: number;
}

/**
 * Explains one starter's handicap.
 *
 * @param request as planned
 * @param plan its answer
 * @param index of the starter, from 0
 * @throws RangeError where there is no such starter
 */
export function why(request: HandicapRequest, plan: HandicapPlan, index: number): Why {
  const starters = soundStarters(request.starters);
  const starter = starters[index];
  const amount = plan.amounts[index];
  const steps = plan.steps[index];
  if (!starter || amount === undefined || !steps) throw new RangeError('no such starter');
  const proposed = plan.proposed[index] as number;
  // Each step is rounded by itself, so that the parts, its differences, are whole and add up.
  const [pace, crashes, equal, dialled, capped] = [
    steps.pace,
    steps.crashes,
    steps.equal,
    steps.dialled,
    steps.capped,
  ].map(Math.round) as [number, number, number, number, number];
  return {
    driver: starter.driver,
    mode: request.mode,
    units: unitsIn(request.length, request.mode === 'credit' ? 'credit' : 'delay'),
    amount,
    own: paceFigures(starter),
    slowest: paceFigures(firstBy(starters, (one) => -one.logPace) as Starter),
    least: paceFigures(firstBy(starters, (_, i) => plan.amounts[i] as number) as Starter),
    scoreBefore: plan.scoreBefore[index] as Expected,
    scoreAfter: plan.scoreAfter[index] as Expected,
    winBefore: plan.winBefore[index] as number,
    winAfter: plan.winAfter[index] as number,
    parts: {
      pace,
      crashes: crashes - pace,
      uncertainty: equal - crashes,
      dial: dialled - equal,
      cap: capped - dialled,
      rounding: proposed - capped,
      hand: amount - proposed,
    },
  };
}

/** What a starter is expected to do. */
export function paceFigures(starter: Starter): PaceFigures {
  const lapS = exp(starter.logPace + starter.lapSd ** 2 / 2);
  const reach = exp(1.645 * Math.sqrt(starter.variance));
  return {
    driver: starter.driver,
    lapS,
    lowS: lapS / reach,
    highS: lapS * reach,
    crashesPer100Laps: 100 * crashChance(starter).chance,
    lossS: exp(starter.nu + starter.omega ** 2 / 2),
  };
}

/** The first with the smallest figure. */
function firstBy<T>(list: readonly T[], figure: (item: T, i: number) => number): T | undefined {
  let best: { item: T; value: number } | undefined;
  for (const [i, item] of list.entries()) {
    const value = figure(item, i);
    if (!best || value < best.value) best = { item, value };
  }
  return best?.item;
}
