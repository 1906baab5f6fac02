import type { PaceFit } from '../../pace/pace-fit.ts';
import type { DriverPast } from '../../pace/setting-past.ts';
import { type SetupEffect, type SetupHeat, setupEffect } from './setup-effect.ts';
import { type VersionEffect, versionEffects } from './version-effect.ts';

/** A version of a profile. */
export interface OneVersion {
  readonly profileId: string;
  readonly version: number;
}

export interface HashedVersion extends OneVersion {
  readonly driver: string;
  readonly hash: string;
}

/** The heats of some profiles, and what can be asked of them. */
export class KnownHeats {
  readonly #versions: readonly HashedVersion[];
  readonly #heats: readonly (SetupHeat & { readonly profileId: string })[];
  readonly #pastOf: (driver: string) => DriverPast;
  readonly #seed: number;

  /**
   * @param versions every version of these profiles
   * @param heats in the order they were driven
   */
  constructor(
    versions: readonly HashedVersion[],
    heats: readonly (SetupHeat & { readonly profileId: string })[],
    pastOf: (driver: string) => DriverPast,
    fit: PaceFit | null,
  ) {
    this.#versions = versions;
    this.#heats = heats;
    this.#pastOf = pastOf;
    this.#seed = fit?.seed ?? 1;
  }

  /** Whether each version of a profile helped, the latest first. @param only these */
  effectsOf(profileId: string, only?: ReadonlySet<number>): VersionEffect[] {
    const versions = this.#versions.filter((one) => one.profileId === profileId);
    const [first] = versions;
    if (!first) return [];
    const latestFirst = versions.toSorted((a, b) => b.version - a.version);
    return versionEffects(latestFirst, this.#of(profileId), this.#pastOf(first.driver), this.#seed, only);
  }

  /** What version b did against version a; null where one is unknown, both are one setup, or of different drivers. */
  between(a: OneVersion, b: OneVersion): SetupEffect | null {
    const [one, other] = [a, b].map((of) =>
      this.#versions.find(({ profileId, version }) => profileId === of.profileId && version === of.version),
    );
    if (!one || !other || one.hash === other.hash || one.driver !== other.driver) return null;
    const heats = this.#heats.filter(
      ({ profileId, hash }) =>
        (profileId === a.profileId && hash === one.hash) || (profileId === b.profileId && hash === other.hash),
    );
    return setupEffect(heats, { a: one.hash, b: other.hash }, this.#pastOf(one.driver), this.#seed);
  }

  #of(profileId: string): SetupHeat[] {
    return this.#heats.filter((heat) => heat.profileId === profileId);
  }
}
