import type { DriverPast } from '../../pace/setting-past.ts';
import { type SetupEffect, type SetupHeat, setupEffect } from './setup-effect.ts';

/** Whether a version of a profile helped. */
export type VersionEffect = { readonly version: number } & (
  | { readonly is: 'compared'; readonly against: number; readonly effect: SetupEffect }
  /** The settings are those of the version before: only its name or notes are others. */
  | { readonly is: 'sameSetup'; readonly against: number; readonly effect: null }
  /** No confirmed heat with it. */
  | { readonly is: 'notDriven'; readonly against: null; readonly effect: null }
  /** No heat with an earlier version. */
  | { readonly is: 'nothingBefore'; readonly against: null; readonly effect: null }
);

/**
 * Compares each version of a profile with the last one before it that was driven and has other settings. Heats count for
 * every version with the same settings, so one that goes back to an old setup has its heats too.
 *
 * @param versions in any order; the answer has the same one
 * @param heats of this profile, in the order they were driven
 * @param only versions to tell of; without, all
 */
export function versionEffects(
  versions: readonly { readonly version: number; readonly hash: string }[],
  heats: readonly SetupHeat[],
  past: DriverPast,
  seed: number,
  only?: ReadonlySet<number>,
): VersionEffect[] {
  const driven = new Set(heats.map(({ version }) => version));
  const rising = versions.toSorted((a, b) => a.version - b.version);
  const wanted = only ? versions.filter(({ version }) => only.has(version)) : versions;
  return wanted.map(({ version, hash }): VersionEffect => {
    const before = rising.filter((one) => one.version < version);
    const last = before.at(-1);
    if (last?.hash === hash) return { version, is: 'sameSetup', against: last.version, effect: null };
    if (!driven.has(version)) return { version, is: 'notDriven', against: null, effect: null };
    const against = before.findLast((one) => one.hash !== hash && driven.has(one.version));
    if (!against) return { version, is: 'nothingBefore', against: null, effect: null };
    const effect = setupEffect(heats, { a: against.hash, b: hash }, past, seed);
    return { version, is: 'compared', against: against.version, effect };
  });
}

/**
 * For lists in which setups that helped stand first: what a setup gains at the least, in log pace of a lap, with limits that
 * hold it in 9 of 10 cases. 0 where nothing is certain, below 0 where it is certainly slower.
 */
export function effectKey(effect: VersionEffect | null): number {
  const told = effect?.effect;
  if (!told?.interval) return 0;
  if (told.verdict === 'faster') return -told.interval.high;
  return told.verdict === 'slower' ? -told.interval.low : 0;
}
