import type { Tuning } from '../model/profile.ts';
import { type Features, featuresOf, type Group, groups } from './features.ts';
import { type FeltAmounts, usualFelt } from './felt.ts';
import { type Finding, findingsOf } from './findings.ts';

/** How different two setups feel, in just noticeable amounts. */
export interface Comparison {
  /** Length of all differences together: about 1 is just noticed. Symmetric, 0 for setups that do the same. */
  readonly distance: number;
  readonly groups: Readonly<Record<Group, number>>;
  /** What would be noticed of going from the first to the second, the largest first; empty: hardly anything. */
  readonly findings: readonly Finding[];
}

export interface ComparisonOptions {
  readonly felt?: FeltAmounts;
  /** Whether a setup's release brake locks the wheels of the car in question; absent where the car is not known. */
  readonly locks?: ((tuning: Tuning) => boolean) | undefined;
}

/** Compares what two setups do; the way from `from` to `to` decides the words, not the numbers. */
export function compareProfiles(from: Tuning, to: Tuning, options: ComparisonOptions = {}): Comparison {
  const { felt = usualFelt, locks = () => false } = options;
  const sizes = differences(featuresOf(from, felt), featuresOf(to, felt));
  return {
    distance: Math.hypot(...Object.values(sizes)),
    groups: sizes,
    findings: findingsOf(from, to, sizes, felt, locks),
  };
}

function differences(from: Features, to: Features): Record<Group, number> {
  const of = (group: Group) => Math.hypot(...from[group].map((value, i) => (to[group][i] as number) - value));
  return Object.fromEntries(groups.map((group) => [group, of(group)])) as Record<Group, number>;
}
