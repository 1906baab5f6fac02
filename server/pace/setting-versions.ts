import { groupBy } from '../shared/group-by.ts';
import type { Setting } from './setting-effect.ts';

interface Version {
  readonly profileId: string;
  readonly version: number;
}

/**
 * Settings of heats as the versions that they noted suggest them: of the profile that was driven most with two versions,
 * the two driven most, the earlier one as a. Other heats have none.
 *
 * @param noted by heat
 */
export function settingsByVersion(noted: ReadonlyMap<string, Version>): ReadonlyMap<string, Setting> {
  const pairs = [...groupBy([...noted], ([, { profileId }]) => profileId).values()].flatMap((own) => {
    const versions = [...groupBy(own, ([, { version }]) => version)].sort(
      ([v, a], [w, b]) => b.length - a.length || w - v,
    );
    const [one, other] = versions;
    return one && other ? [[one, other].sort(([v], [w]) => v - w)] : [];
  });
  const heatsIn = (pair: (typeof pairs)[number]) => pair.reduce((sum, [, heats]) => sum + heats.length, 0);
  const [most] = pairs.sort((a, b) => heatsIn(b) - heatsIn(a));
  return new Map(
    (most ?? []).flatMap(([, heats], i) => heats.map(([heat]) => [heat, i === 0 ? ('a' as const) : ('b' as const)])),
  );
}
