import { offShort } from '../model/brake.ts';
import { throttleOf } from '../model/duty.ts';
import type { Tuning } from '../model/profile.ts';
import type { FeltAmounts } from './felt.ts';

/** What of two setups can feel different. */
export const groups = ['drive', 'launch', 'ramp', 'brake', 'partBrake', 'pwm', 'decay', 'limit'] as const;
export type Group = (typeof groups)[number];

/** A setup as numbers, by group, each in just noticeable amounts. */
export type Features = Readonly<Record<Group, readonly number[]>>;

/** Trigger positions at which setups are compared: 0.05, 0.10, … 1. */
export const comparedPositions: readonly number[] = Array.from({ length: 20 }, (_, i) => (i + 1) / 20);

/** Makes a difference that is the same at every position count as one difference. */
const perPosition = Math.sqrt(comparedPositions.length);

/**
 * The features of one setup. Each depends on this setup alone, so that distances between feature vectors keep the
 * triangle inequality, and is made of what the setup does, so that settings without effect count nothing.
 */
export function featuresOf(tuning: Tuning, felt: FeltAmounts): Features {
  const { duty } = throttleOf(tuning);
  return {
    drive: comparedPositions.map((x) => (1000 * duty(x)) / felt.duty / perPosition),
    launch: [tuning.minDrive / felt.minDrive],
    ramp: [tuning.rampUpMs / felt.rampUpMs],
    brake: [tuning.brakeFull / felt.brakeFull],
    partBrake: partBrake(tuning).map((share) => (1000 * share) / felt.partBrake / perPosition),
    pwm: [Math.log2(tuning.pwmHz) / Math.log2(felt.pwmRatio)],
    decay: [tuning.decay === 'fast' ? felt.fastDecay : 0],
    limit: [tuning.maxDrive / felt.maxDrive],
  };
}

/** Off-time short share, 0..1, at the compared positions: first for an opening trigger, then for a closing one. */
export function partBrake(tuning: Tuning): number[] {
  const { released } = throttleOf(tuning);
  return [false, true].flatMap((closing) =>
    // At rest it is the release brake that acts, which has a feature of its own.
    comparedPositions.map((x) => (released(x) ? 0 : offShort(tuning, x, closing))),
  );
}
