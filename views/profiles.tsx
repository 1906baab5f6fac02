import type { NamedCar } from '../server/drivers/cars-store.ts';
import type { Driver } from '../server/drivers/store.ts';
import type { StoredChoice } from '../server/profiles/choices-store.ts';
import type { PicturesData } from '../server/profiles/pictures.ts';
import type { KeptProfile } from '../server/profiles/store.ts';
import type { FormState } from '../server/shared/form.ts';
import type { Track } from '../server/tracks/store.ts';
import { Button, ButtonLink, ButtonRow } from './components/button.tsx';
import { EmptyState } from './components/content.tsx';
import { CurveThumb } from './components/curve-thumb.tsx';
import { Field, SelectField } from './components/field.tsx';
import { Form } from './components/form.tsx';
import { FormErrors } from './components/form-errors.tsx';
import { ControllerPlaces } from './controller-places.tsx';
import { shortDate } from './format.ts';
import { Page, type Shell } from './layout.tsx';
import { OwnerCrumbs } from './profile-crumbs.tsx';
import { ProfileDesk } from './profile-desk.tsx';
import { ProfileSubpage } from './profile-subpage.tsx';
import type { ThumbData } from './profile-throttle.tsx';
import { carWords, dialledWords, trackWords } from './profile-words.ts';
import { profiles as t } from './texts/en/profiles.ts';
import { typedIn } from './typed.ts';
import { urls } from './urls.ts';

interface ProfilesPageProps {
  shell: Shell;
  slug: string;
  zone: string;
  driver: Pick<Driver, 'id' | 'nickname'>;
  /** Archived ones too; each with its curve. */
  profiles: readonly (KeptProfile & { thumb: ThumbData })[];
  /** Everything the driver has dialled in. */
  choices: readonly StoredChoice[];
}

/** A driver's profiles, and what is dialled in. */
export function ProfilesPage({ shell, slug, zone, driver, profiles, choices }: ProfilesPageProps) {
  const kept = profiles.filter(({ archivedAt }) => archivedAt === null);
  const archived = profiles.filter(({ archivedAt }) => archivedAt !== null);
  const to = (path: string) => urls.driver(slug, driver.id, path);
  const title = t.titleOf(driver.nickname);
  const ways = (
    <ButtonRow>
      <ButtonLink href={to('profiles/new')} kind="primary">
        {t.add}
      </ButtonLink>
      <ButtonLink href={to('profiles/receive')}>{t.receive}</ButtonLink>
    </ButtonRow>
  );
  return (
    <Page
      shell={shell}
      title={title}
      heading={<bdi>{title}</bdi>}
      above={<OwnerCrumbs slug={slug} role={shell.role} driver={driver} />}
    >
      {kept.length === 0 ? (
        <EmptyState title={t.none} action={ways}>
          {t.noneIntro}
        </EmptyState>
      ) : (
        <>
          <p>{t.intro}</p>
          <ProfileList {...{ slug, zone, lang: shell.lang, choices }} profiles={kept} />
          {ways}
        </>
      )}
      {kept.length === 0 ? null : (
        <p>
          <a href={to('profiles/heats')}>{t.heats.own}</a>
        </p>
      )}
      <ControllerPlaces slug={slug} role={shell.role} />
      {archived.length === 0 ? null : (
        <details id="archived">
          <summary>{t.archivedTitle}</summary>
          <ProfileList {...{ slug, zone, lang: shell.lang, choices }} profiles={archived} />
        </details>
      )}
    </Page>
  );
}

type ProfileListProps = Pick<ProfilesPageProps, 'slug' | 'zone' | 'profiles' | 'choices'> & { lang: string };

function ProfileList({ slug, zone, lang, profiles, choices }: ProfileListProps) {
  return (
    <ul class="profile-list">
      {profiles.map((profile) => {
        const own = choices.filter(({ profileId }) => profileId === profile.id);
        return (
          <li key={profile.id} class="profile-item">
            <CurveThumb picture={profile.thumb} />
            <h2 class="profile-item-name">
              <a href={urls.profile(slug, profile.id)}>
                <bdi>{profile.setup.name}</bdi>
              </a>
            </h2>
            <div>
              <p>
                <bdi>{t.for(carWords(profile), trackWords(profile))}</bdi>{' '}
                {t.versionSaved(profile.latest, shortDate(profile.savedAt, { zone, locale: lang }))}
              </p>
              {own.length === 0 ? (
                <p class="profile-item-idle">{t.dialled.none}</p>
              ) : (
                <p>
                  {t.dialled.title}:{' '}
                  <strong>
                    {dialledWords(own)
                      .map(({ words }) => words)
                      .join(', ')}
                  </strong>
                </p>
              )}
            </div>
          </li>
        );
      })}
    </ul>
  );
}

export interface PlaceChoices {
  /** Cars that the driver may name: their own, and the club's. */
  cars: readonly NamedCar[];
  tracks: readonly Pick<Track, 'id' | 'name'>[];
}

/** For which car and track. */
export function PlaceFields({ form, cars, tracks }: PlaceChoices & { form: FormState }) {
  const field = typedIn(form);
  return (
    <>
      <SelectField
        label={t.fresh.car}
        {...field('carId')}
        blank={t.fresh.anyCar}
        options={cars.map((car) => ({
          value: car.id,
          label: car.className === null ? car.name : t.fresh.carOf(car.name, car.className),
        }))}
      />
      <SelectField
        label={t.fresh.track}
        {...field('trackId')}
        blank={t.fresh.anyTrack}
        options={tracks.map((track) => ({ value: track.id, label: track.name }))}
      />
    </>
  );
}

interface NewProfilePageProps extends PlaceChoices {
  shell: Shell;
  slug: string;
  driver: Pick<Driver, 'id' | 'nickname'>;
  form: FormState;
  pictures: PicturesData;
}

/** A new profile, from usual settings. */
export function NewProfilePage({ shell, slug, driver, form, pictures, cars, tracks }: NewProfilePageProps) {
  return (
    <Page
      shell={shell}
      title={t.fresh.title}
      heading={t.fresh.title}
      above={<OwnerCrumbs slug={slug} role={shell.role} driver={driver} list />}
      kind="wide"
      scripts={['profile.js']}
    >
      <FormErrors errors={form.errors} />
      <p>{t.fresh.intro}</p>
      <ProfileDesk
        form={form}
        action={urls.driver(slug, driver.id, 'profiles/new')}
        commandId={shell.commandId}
        csrf={shell.csrf}
        preview={urls.inClub(slug, 'profiles/preview')}
        saved={null}
        data={pictures}
        limitPermille={null}
        saveLabel={t.fresh.save}
      >
        <PlaceFields form={form} cars={cars} tracks={tracks} />
      </ProfileDesk>
    </Page>
  );
}

interface CopyPageProps extends PlaceChoices {
  shell: Shell;
  slug: string;
  profile: KeptProfile;
  /** Numbers of the versions, the latest first. */
  versions: readonly number[];
  form: FormState;
}

/** The same settings for another car or track. */
export function CopyProfilePage({ shell, slug, profile, versions, form, cars, tracks }: CopyPageProps) {
  const field = typedIn(form);
  const title = t.copy.titleOf(profile.setup.name);
  return (
    <ProfileSubpage shell={shell} slug={slug} profile={profile} title={title} errors={form.errors}>
      <p>{t.copy.intro}</p>
      <Form action={urls.profile(slug, profile.id, 'copy')} csrf={shell.csrf} commandId={shell.commandId}>
        <Field label={t.copy.name} {...field('name')} required maxlength={40} />
        <PlaceFields form={form} cars={cars} tracks={tracks} />
        <SelectField
          label={t.copy.version}
          {...field('version')}
          options={versions.map((n) => ({ value: n, label: t.dialled.versionOption(n, n === profile.latest) }))}
        />
        <ButtonRow>
          <Button kind="primary">{t.copy.button}</Button>
        </ButtonRow>
      </Form>
    </ProfileSubpage>
  );
}
