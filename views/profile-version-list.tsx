import type { StoredChoice } from '../server/profiles/choices-store.ts';
import type { VersionEffect } from '../server/profiles/effect/version-effect.ts';
import type { KeptProfile, ProfileVersion } from '../server/profiles/store.ts';
import { Section } from './components/content.tsx';
import { shortDate } from './format.ts';
import { EffectNote, EffectWords } from './profile-effect.tsx';
import { originWords } from './profile-words.ts';
import { profiles as t } from './texts/en/profiles.ts';
import { urls } from './urls.ts';

interface VersionListProps {
  slug: string;
  zone: string;
  lang: string;
  profile: KeptProfile;
  /** The latest first. */
  versions: readonly ProfileVersion[];
  choices: readonly StoredChoice[];
  effects: readonly VersionEffect[];
}

/** Versions that stand in front; older ones are folded. */
const inFront = 4;

/** The versions of a profile: when, why, and what was measured of each. */
export function VersionList(props: VersionListProps) {
  const { versions, effects } = props;
  const [front, older] = [versions.slice(0, inFront), versions.slice(inFront)];
  return (
    <Section title={t.versions.title} id="versions">
      <Versions {...props} versions={front} />
      {older.length === 0 ? null : (
        <details id="versions-older">
          <summary>{t.versions.older(older.length)}</summary>
          <Versions {...props} versions={older} />
        </details>
      )}
      {effects.some(({ is }) => is === 'compared') ? <EffectNote /> : null}
    </Section>
  );
}

function Versions({ versions, ...props }: VersionListProps) {
  return (
    <ol class="version-list" reversed start={versions[0]?.version}>
      {versions.map((version) => (
        <li key={version.version} class="version-item" id={`version-${version.version}`}>
          <Version {...props} version={version} />
        </li>
      ))}
    </ol>
  );
}

type VersionProps = Omit<VersionListProps, 'versions'> & { version: ProfileVersion };

function Version({ slug, zone, lang, profile, version, choices, effects }: VersionProps) {
  const { version: number, note, createdAt, author } = version;
  const origin = originWords(version);
  const effect = effects.find((one) => one.version === number);
  const marks = [
    ...(number === profile.latest ? [t.versions.latest] : []),
    ...choices
      .filter((choice) => choice.version === number)
      .map(({ lane }) => (lane === null ? t.versions.dialled : t.versions.laneDialled(lane))),
  ];
  return (
    <>
      <h3 class="version-name">
        <a href={urls.profile(slug, profile.id, `versions/${number}`)}>{t.version(number)}</a>
        {marks.length === 0 ? null : `, ${marks.join(', ')}`}
      </h3>
      <p class="version-when">
        {shortDate(createdAt, { zone, locale: lang })}, <bdi>{author}</bdi>
      </p>
      {note === '' ? null : (
        <p>
          <bdi>{note}</bdi>
        </p>
      )}
      {origin === null ? null : (
        <p>
          <bdi>{origin}</bdi>
        </p>
      )}
      {effect && number > 1 ? <EffectWords effect={effect} /> : null}
    </>
  );
}
