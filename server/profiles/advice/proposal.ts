import { compareProfiles } from '../compare/compare.ts';
import type { Group } from '../compare/features.ts';
import { underLimit } from '../model/limit.ts';
import type { Profile, Tuning } from '../model/profile.ts';
import { type AdviceRow, rows, sections } from './rows.ts';
import { type AdviceSetting, afterStep, groupsOf, type Step } from './steps.ts';

/** One change to try. */
export interface Proposal {
  readonly profile: Profile;
  readonly change: {
    readonly setting: AdviceSetting;
    /** What of a comparison the change is about. */
    readonly group: Group;
  };
}

/**
 * The changes that drivers try for a complaint, each of them from this profile alone and as it is driven under a race
 * limit; those that would change nothing are left out.
 *
 * @param raceLimit permille of drive; null for none. No proposal raises maximum drive above it
 */
export function proposals(profile: Profile, row: AdviceRow, raceLimit: number | null): Proposal[] {
  const steps: readonly Step[] = rows[row];
  return steps.flatMap((step) => {
    const { setting } = step;
    const group = groupsOf[setting].main;
    const changed = afterStep(profile, step, raceLimit);
    const { groups } = compareProfiles(underLimit(profile, raceLimit), underLimit(changed, raceLimit));
    return groups[group] > 0 ? [{ profile: changed, change: { setting, group } }] : [];
  });
}

/** The change to try first; null where the controller is not what to look at, or has nothing left to give. */
export function proposal(profile: Profile, row: AdviceRow, raceLimit: number | null): Proposal | null {
  return proposals(profile, row, raceLimit)[0] ?? null;
}

/** Rows about heat, and settings that bring more of it into motor or controller: a word of care belongs beside them. */
export function bringsHeat(row: AdviceRow, from: Tuning, to: Tuning): boolean {
  return (
    (sections.heat as readonly AdviceRow[]).includes(row) ||
    to.pwmHz < from.pwmHz ||
    to.brakeFull > from.brakeFull ||
    to.drag.strength > from.drag.strength
  );
}
