import type { ProfileVersion } from '../server/profiles/store.ts';
import { allSettings } from './profile-words.ts';
import { shares } from './texts/en/shares.ts';

const t = shares.provenance;
type Told = Pick<ProfileVersion, 'version' | 'setup' | 'hash' | 'origin'>;

/**
 * From whom a profile was taken, and which settings were changed since: "From Pip's version 3, changed: release brake."
 * Version 1 of such a profile is what was received.
 *
 * @param versions of one profile, in any order
 * @returns null for a profile that its driver made
 */
export function provenanceWords(versions: readonly Told[]): string | null {
  const received = versions.find(({ version }) => version === 1);
  const latest = versions.reduce<Told | null>((last, one) => (last && last.version > one.version ? last : one), null);
  if (!received?.origin || !latest) return null;
  const { via, from, version = null } = received.origin;
  if (via === 'copy' || via === 'version' || via === 'unit') return null;
  const source = from === undefined ? t.from(t[via], version) : t.of(from, version);
  return `${source}, ${received.hash === latest.hash ? t.unchanged : t.changed(changedSettings(received, latest))}`;
}

/** The settings that differ, as the editor calls them but within a sentence. */
function changedSettings({ setup: from }: Told, { setup: to }: Told): string[] {
  const before = new Map(allSettings(from).map(({ key, value }) => [key, value]));
  const after = allSettings(to);
  const gone = allSettings(from).filter(({ key }) => !after.some((one) => one.key === key));
  const labels = [...after.filter(({ key, value }) => before.get(key) !== value), ...gone].map(({ label }) => label);
  return labels.map((label) => label.charAt(0).toLowerCase() + label.slice(1));
}

/** The same as a line of a page; nothing for a profile that its driver made. */
export function Provenance({ versions }: { versions: readonly Told[] }) {
  const words = provenanceWords(versions);
  return words === null ? null : (
    <p>
      <bdi>{words}</bdi>
    </p>
  );
}
