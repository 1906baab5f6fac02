import type { StoredChoice } from '../server/profiles/choices-store.ts';
import type { RaceLimit } from '../server/profiles/limits-store.ts';
import type { Profile } from '../server/profiles/model/profile.ts';
import type { KeptProfile } from '../server/profiles/store.ts';
import { Button, ButtonRow } from './components/button.tsx';
import { Section } from './components/content.tsx';
import { SelectField } from './components/field.tsx';
import { Form } from './components/form.tsx';
import { Notice } from './components/notice.tsx';
import { percent } from './format.ts';
import { carWords, dialledWords, trackWords } from './profile-words.ts';
import { profiles as t } from './texts/en/profiles.ts';
import { urls } from './urls.ts';

/** A limit that changes what this profile gives. */
export type HeldProfile = { limit: RaceLimit; own: Profile; held: Profile };

interface DialPartProps {
  slug: string;
  csrf: string | null;
  profile: KeptProfile;
  /** What is dialled in of this profile. */
  choices: readonly StoredChoice[];
  /** Numbers of the versions, the latest first. */
  versions: readonly number[];
  /** Numbers of the lanes that a choice may name. */
  lanes: readonly number[];
  /** Null where no limit bites. */
  held: HeldProfile | null;
}

/** What is dialled in of a profile, and the forms to change it. */
export function DialPart({ slug, csrf, profile, choices, versions, lanes, held }: DialPartProps) {
  const d = t.dialled;
  const address = urls.profile(slug, profile.id, 'choices');
  return (
    <Section title={d.title} id="dial">
      <p>
        {d.intro} {t.for(carWords(profile), trackWords(profile))}
      </p>
      {held ? <HeldWords {...held} /> : null}
      {choices.length === 0 ? <p>{d.none}.</p> : null}
      {choices.length === 0 ? null : (
        <ul class="profile-choices">
          {dialledWords(choices).map(({ choice, words }) => (
            <li key={choice.id}>
              <strong>{words}</strong>
              <Form action={`${address}/${choice.id}/drop`} csrf={csrf}>
                <Button aria-label={d.dropOf(words)}>{d.drop}</Button>
              </Form>
            </li>
          ))}
        </ul>
      )}
      {profile.archivedAt === null ? (
        <details id="dial-more" open={choices.length === 0}>
          <summary>{d.button}</summary>
          <Form action={address} csrf={csrf}>
            <SelectField
              label={d.which}
              name="version"
              id="dial-version"
              value={String(profile.latest)}
              options={versions.map((n) => ({ value: n, label: d.versionOption(n, n === profile.latest) }))}
            />
            <SelectField
              label={d.where}
              name="lane"
              id="dial-lane"
              hint={d.everyHint}
              blank={d.everyLane}
              options={lanes.map((lane) => ({ value: lane, label: d.laneOption(lane) }))}
            />
            <ButtonRow>
              <Button kind="primary">{d.button}</Button>
            </ButtonRow>
          </Form>
        </details>
      ) : (
        <p>{d.elsewhere}</p>
      )}
    </Section>
  );
}

/** What a race limit does to the settings. */
export function HeldWords({ limit, own, held }: HeldProfile) {
  const d = t.dialled;
  return (
    <Notice kind="info">
      {d.limited(percent(limit.permille), percent(own.maxDrive))}{' '}
      {held.minDrive === own.minDrive ? null : d.limitedMin(percent(own.minDrive), percent(held.minDrive))}{' '}
      {d.limitRace(limit.raceName)}
    </Notice>
  );
}

/** Said right after a save: kept, and one press away from being in use. */
export function JustSaved({
  slug,
  csrf,
  profile,
  version,
}: Pick<DialPartProps, 'slug' | 'csrf' | 'profile'> & { version: number }) {
  return (
    <Notice kind="ok" title={t.save.saved(version)} id="saved">
      <p>{t.save.savedHint}</p>
      <Form action={urls.profile(slug, profile.id, 'choices')} csrf={csrf} hidden={{ version, lane: '' }}>
        <Button>{t.dialled.buttonVersion(version)}</Button>
      </Form>
    </Notice>
  );
}
