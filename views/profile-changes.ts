import type { Profile } from '../server/profiles/model/profile.ts';
import { allSettings } from './profile-words.ts';
import { advice as t } from './texts/en/advice.ts';

/** A setting in which two setups differ, as it is read. */
export interface SettingChange {
  key: string;
  label: string;
  from: string;
  to: string;
}

export function changesOf(from: Profile, to: Profile): SettingChange[] {
  const before = new Map(allSettings(from).map(({ key, value }) => [key, value]));
  return allSettings(to).flatMap(({ key, label, value }) =>
    before.get(key) === value ? [] : [{ key, label, from: before.get(key) ?? '', to: value }],
  );
}

/** The differences in one line; points of a curve are not told one by one. */
export function changeWords(from: Profile, to: Profile): string {
  const words = changesOf(from, to).map((change) =>
    change.key === 'points' ? t.curveOther : t.other(change.label, change.from, change.to),
  );
  return words.join(', ');
}
