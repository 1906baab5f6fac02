import type { StoredChoice } from '../server/profiles/choices-store.ts';
import type { VersionEffect } from '../server/profiles/effect/version-effect.ts';
import type { Codes } from '../server/profiles/exchange/codes.ts';
import type { RaceLimit } from '../server/profiles/limits-store.ts';
import type { PicturesData } from '../server/profiles/pictures.ts';
import type { KeptProfile, ProfileVersion } from '../server/profiles/store.ts';
import type { FormState } from '../server/shared/form.ts';
import { Archiving } from './components/archiving.tsx';
import { Section } from './components/content.tsx';
import { FormErrors } from './components/form-errors.tsx';
import { Page, type Shell } from './layout.tsx';
import { OwnerCrumbs } from './profile-crumbs.tsx';
import { ProfileDesk } from './profile-desk.tsx';
import { DialPart, type HeldProfile, JustSaved } from './profile-dial.tsx';
import { MotorPart, type MotorPartProps } from './profile-motor.tsx';
import { NoteField } from './profile-note.tsx';
import { Provenance } from './profile-provenance.tsx';
import { SharingPart } from './profile-sharing.tsx';
import { VersionList } from './profile-version-list.tsx';
import { carWords, dialledWords, trackWords } from './profile-words.ts';
import { advice } from './texts/en/advice.ts';
import { motor as motorWords } from './texts/en/motor.ts';
import { profiles as t } from './texts/en/profiles.ts';
import { shares } from './texts/en/shares.ts';
import { urls } from './urls.ts';

interface ProfilePageProps {
  shell: Shell;
  slug: string;
  zone: string;
  profile: KeptProfile;
  /** The latest first. */
  versions: readonly ProfileVersion[];
  /** What is dialled in of this profile. */
  choices: readonly StoredChoice[];
  /** Whether each version helped. */
  effects: readonly VersionEffect[];
  /** Numbers of the lanes that a choice may name. */
  lanes: readonly number[];
  limit: RaceLimit | null;
  /** Null where no limit bites. */
  held: HeldProfile | null;
  form: FormState;
  /** The form of the latest version. */
  savedForm: FormState;
  pictures: PicturesData;
  /** What a motor makes of it. */
  motor: Omit<MotorPartProps, 'action'>;
  /** Of the latest version. */
  codes: Codes;
  /** Number of the version that was just saved. */
  justSaved: number | null;
}

/** A profile: its settings and what they do, what is dialled in, what was saved before. */
export function ProfilePage(props: ProfilePageProps) {
  const {
    shell,
    slug,
    zone,
    profile,
    versions,
    choices,
    effects,
    lanes,
    limit,
    held,
    form,
    savedForm,
    pictures,
    motor,
    codes,
    justSaved,
  } = props;
  const { name } = profile.setup;
  const address = urls.profile(slug, profile.id);
  const driver = { id: profile.driverId, nickname: profile.driverNickname };
  const isDialled = choices.some(({ version }) => version === justSaved);
  return (
    <Page
      shell={shell}
      title={name}
      heading={<bdi>{name}</bdi>}
      above={<OwnerCrumbs slug={slug} role={shell.role} driver={driver} list />}
      kind="wide"
      scripts={['profile.js']}
      status={justSaved === null ? undefined : t.save.saved(justSaved)}
    >
      <FormErrors errors={form.errors} />
      <p class="profile-what">
        <bdi>{t.for(carWords(profile), trackWords(profile))}</bdi> {t.version(profile.latest)}.{' '}
        <a href="#dial">
          {choices.length === 0
            ? t.dialled.none
            : `${t.dialled.title}: ${dialledWords(choices)
                .map(({ words }) => words)
                .join(', ')}`}
        </a>
        {'. '}
        <a href={`${address}/advice`}>{advice.link}</a>
      </p>
      <Provenance versions={versions} />
      <Parts />
      {justSaved === null || isDialled || profile.archivedAt !== null ? null : (
        <JustSaved slug={slug} csrf={shell.csrf} profile={profile} version={justSaved} />
      )}
      <ProfileDesk
        form={form}
        action={address}
        csrf={shell.csrf}
        preview={`${urls.inClub(slug, 'profiles/preview')}?motor=${motor.chosen}`}
        saved={{ profileId: profile.id, version: profile.latest, form: savedForm }}
        limitPermille={limit?.permille ?? null}
        data={pictures}
      >
        <NoteField form={form} />
      </ProfileDesk>
      <DialPart
        slug={slug}
        csrf={shell.csrf}
        profile={profile}
        choices={choices}
        versions={versions.map(({ version }) => version)}
        lanes={lanes}
        held={held}
      />
      <MotorPart {...motor} action={address} />
      <VersionList {...{ slug, zone, lang: shell.lang, profile, versions, choices, effects }} />
      <SharingPart slug={slug} profileId={profile.id} codes={codes} />
      <Section title={t.page.more} id="more">
        <ul class="places">
          {(
            [
              ['advice', t.page.advice],
              ['heats', t.heats.link],
              ['compare', t.page.compare],
              ['copy', t.page.copy],
              ['move', t.page.move],
            ] as const
          ).map(([path, label]) => (
            <li key={path}>
              <a href={`${address}/${path}`}>{label}</a>
            </li>
          ))}
        </ul>
      </Section>
      <Archiving address={address} csrf={shell.csrf} archived={profile.archivedAt !== null} words={t} />
    </Page>
  );
}

/** The parts of a long page, for those who know where they go. */
function Parts() {
  const parts = [
    ['dial', t.dialled.title],
    ['motor', motorWords.title],
    ['versions', t.versions.title],
    ['sharing', shares.part.title],
    ['more', t.page.more],
  ] as const;
  return (
    <nav class="page-parts" aria-label={t.page.parts}>
      <ul>
        {parts.map(([id, label]) => (
          <li key={id}>
            <a href={`#${id}`}>{label}</a>
          </li>
        ))}
      </ul>
    </nav>
  );
}
