import type { ComponentChildren } from 'preact';
import type { SetupEffect } from '../server/profiles/effect/setup-effect.ts';
import type { KeptProfile, ProfileVersion } from '../server/profiles/store.ts';
import type { FormState } from '../server/shared/form.ts';
import { Button, ButtonLink, ButtonRow } from './components/button.tsx';
import { Section } from './components/content.tsx';
import { SelectField, TextareaField } from './components/field.tsx';
import { Form } from './components/form.tsx';
import { FeltWords } from './felt-words.tsx';
import { shortDate } from './format.ts';
import type { Shell } from './layout.tsx';
import { EffectNote, SetupEffectWords } from './profile-effect.tsx';
import { MotorPart, type MotorPartProps } from './profile-motor.tsx';
import { SettingsTable } from './profile-settings.tsx';
import { ProfileSubpage } from './profile-subpage.tsx';
import { originWords } from './profile-words.ts';
import { profiles as t } from './texts/en/profiles.ts';
import { typedIn } from './typed.ts';
import { urls } from './urls.ts';

interface VersionPageProps {
  shell: Shell;
  slug: string;
  zone: string;
  profile: KeptProfile;
  version: ProfileVersion;
  form: FormState;
  /** The throttle curve of this version, beside the latest where they differ. */
  picture: ComponentChildren;
}

/** An earlier version to read, and the way back to it. */
export function VersionPage({ shell, slug, zone, profile, version, form, picture }: VersionPageProps) {
  const v = t.versions;
  const title = v.readTitle(version.setup.name, version.version);
  const origin = originWords(version);
  const isLatest = version.version === profile.latest;
  return (
    <ProfileSubpage shell={shell} slug={slug} profile={profile} title={title} errors={form.errors}>
      <p>
        {shortDate(version.createdAt, { zone, locale: shell.lang })}, <bdi>{version.author}</bdi>
        {origin === null ? null : (
          <>
            . <bdi>{origin}</bdi>
          </>
        )}
      </p>
      {version.note === '' ? null : (
        <blockquote class="profile-note">
          <bdi>{version.note}</bdi>
        </blockquote>
      )}
      {picture}
      <Section title={v.settings}>
        <SettingsTable caption={v.settings} setups={[{ title: t.version(version.version), setup: version.setup }]} />
      </Section>
      {isLatest ? (
        <p>{v.isLatest}</p>
      ) : (
        <Section title={v.back} id="back">
          <p>{v.backIntro(version.version, profile.latest + 1)}</p>
          <Form
            action={urls.profile(slug, profile.id, `versions/${version.version}/back`)}
            csrf={shell.csrf}
            commandId={shell.commandId}
          >
            <TextareaField label={v.backNote} {...typedIn(form)('note')} rows={2} optional />
            <ButtonRow>
              <Button kind="primary">{v.back}</Button>
              <ButtonLink href={urls.profile(slug, profile.id, `compare?a=${version.version}&b=${profile.latest}`)}>
                {v.compareLatest}
              </ButtonLink>
            </ButtonRow>
          </Form>
        </Section>
      )}
    </ProfileSubpage>
  );
}

/** One side of a comparison. */
export type ComparedSetup = {
  title: string;
  /** The same inside a sentence. */
  inWords: string;
  setup: ProfileVersion['setup'];
};

interface ComparePageProps {
  shell: Shell;
  slug: string;
  profile: KeptProfile;
  /** What can be chosen on either side: value of the field, and words. */
  options: readonly { value: string; label: string }[];
  chosen: { a: string; b: string };
  from: ComparedSetup;
  to: ComparedSetup;
  /** Sentences about the difference, the largest first. */
  words: readonly string[];
  /** What was measured of the second against the first; null where nothing can be. */
  effect: SetupEffect | null;
  motor: Omit<MotorPartProps, 'action' | 'hidden'>;
  picture: ComponentChildren;
}

/** Two setups side by side: what will be felt, one picture over the other, every number. */
export function ComparePage({
  shell,
  slug,
  profile,
  options,
  chosen,
  from,
  to,
  words,
  effect,
  motor,
  picture,
}: ComparePageProps) {
  const title = t.compare.titleOf(profile.setup.name);
  return (
    <ProfileSubpage shell={shell} slug={slug} profile={profile} title={title}>
      <p>{t.compare.intro}</p>
      <Form action={urls.profile(slug, profile.id, 'compare')} method="get">
        <SelectField label={t.compare.from} name="a" value={chosen.a} options={options} />
        <SelectField label={t.compare.to} name="b" value={chosen.b} options={options} />
        <ButtonRow>
          <Button>{t.compare.button}</Button>
        </ButtonRow>
      </Form>
      <Section title={t.compare.words} id="felt">
        <FeltWords words={words} />
      </Section>
      {picture}
      {effect === null ? null : (
        <Section title={t.compare.measured} id="measured">
          <SetupEffectWords effect={effect} against={from.inWords} />
          <EffectNote />
        </Section>
      )}
      <MotorPart {...motor} action={urls.profile(slug, profile.id, 'compare')} hidden={chosen} />
      <Section title={t.compare.table} id="settings">
        <SettingsTable caption={t.compare.table} setups={[from, to]} />
      </Section>
    </ProfileSubpage>
  );
}
