import type { HandicapMode } from './handicap-values.ts';
import type { Starter } from './pace-fit.ts';
import type { HeatLength } from './score-draws.ts';

/** A heat to make even. */
export interface HandicapRequest {
  readonly length: HeatLength;
  readonly starters: readonly Starter[];
  /** `off`: nobody gets anything; the chances are told. */
  readonly mode: HandicapMode | 'off';
  /** From 0 to 1: which part of the difference is made up for; 1 makes chances equal. */
  readonly dial: number;
  /** Nobody gets more than this; null: no limit. Units as in `HandicapPlan`. */
  readonly cap: number | null;
  /** Amounts are rounded to multiples of this; above 0, need not be whole (a track of 8 sections: 12.5). */
  readonly step: number;
  /** By starter: an amount laid down by a person, kept as it is; null: to be found. */
  readonly byHand: readonly (number | null)[];
  /** True: the others are found around the amounts laid down; false: as if none were. */
  readonly aroundHand: boolean;
  readonly seed: number;
}

/**
 * Handicaps of a heat, by starter. Amounts are whole numbers: delays in milliseconds; credits in hundredths of a lap in
 * heats over a time, in milliseconds in heats over laps.
 */
export interface HandicapPlan {
  readonly amounts: readonly number[];
  /** What they would be if nothing were laid down by hand. */
  readonly proposed: readonly number[];
  /** Chances to win, adding up to 1: without handicaps, with those proposed, and with `amounts`. From runs drawn afresh. */
  readonly winBefore: readonly number[];
  readonly winProposed: readonly number[];
  readonly winAfter: readonly number[];
  /** Expected score and its standard deviation without and with `amounts`: laps, or seconds from the start of the heat. */
  readonly scoreBefore: readonly Expected[];
  readonly scoreAfter: readonly Expected[];
  readonly steps: readonly AmountSteps[];
  /** Greatest difference from equal chances that the search left, before dial, cap and rounding. */
  readonly error: number;
  readonly seed: number;
}

export interface Expected {
  readonly mean: number;
  readonly sd: number;
}

/** How the proposed amount came about, in its units but not rounded: each step replaces the one before. */
export interface AmountSteps {
  /** Equal distance at clean pace alone. */
  readonly pace: number;
  /** Equal expected scores, crashes included. */
  readonly crashes: number;
  /** Equal chances: who is less predictable wins more often at equal expectation. */
  readonly equal: number;
  readonly dialled: number;
  readonly capped: number;
}

export interface HandicapProgress {
  readonly done: number;
  readonly of: number;
}
