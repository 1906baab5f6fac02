import type { ComponentChildren } from 'preact';
import type { NamedCar } from '../server/drivers/cars-store.ts';
import type { Driver } from '../server/drivers/store.ts';
import type { RaceLimit } from '../server/profiles/limits-store.ts';
import type { Profile } from '../server/profiles/model/profile.ts';
import type { PicturesData } from '../server/profiles/pictures.ts';
import type { FormState } from '../server/shared/form.ts';
import type { Received } from '../server/shares/received-store.ts';
import type { Track } from '../server/tracks/store.ts';
import { Button, ButtonLink, ButtonRow } from './components/button.tsx';
import { Section } from './components/content.tsx';
import { Field, SelectField, TextareaField } from './components/field.tsx';
import { Form } from './components/form.tsx';
import { FormErrors } from './components/form-errors.tsx';
import { Notice } from './components/notice.tsx';
import { FeltWords } from './felt-words.tsx';
import { percent } from './format.ts';
import { Page, type Shell } from './layout.tsx';
import { OwnerCrumbs } from './profile-crumbs.tsx';
import { ProfilePictures } from './profile-pictures.tsx';
import { SettingsTable } from './profile-settings.tsx';
import { PlaceFields } from './profiles.tsx';
import { shares as t } from './texts/en/shares.ts';
import { typedIn } from './typed.ts';
import { urls } from './urls.ts';

const r = t.receive;

interface ReceiveFrameProps {
  shell: Shell;
  slug: string;
  driver: Pick<Driver, 'id' | 'nickname'>;
  title: string;
  errors: FormState['errors'];
  children: ComponentChildren;
}

/** What both steps have around them: the way back to the driver's profiles, a heading, what is wrong. */
function ReceiveFrame({ shell, slug, driver, title, errors, children }: ReceiveFrameProps) {
  return (
    <Page
      shell={shell}
      title={title}
      heading={<bdi>{title}</bdi>}
      above={<OwnerCrumbs slug={slug} role={shell.role} driver={driver} list />}
    >
      <FormErrors errors={errors} />
      {children}
    </Page>
  );
}

interface ReceivePageProps {
  shell: Shell;
  slug: string;
  driver: Pick<Driver, 'id' | 'nickname'>;
  form: FormState;
}

/** Where a code, a link or a file is given. */
export function ReceivePage({ shell, slug, driver, form }: ReceivePageProps) {
  const title = r.titleFor(driver.nickname);
  const address = urls.driver(slug, driver.id, 'profiles/receive');
  return (
    <ReceiveFrame shell={shell} slug={slug} driver={driver} title={title} errors={form.errors}>
      <p>{r.intro}</p>
      <Form action={address} csrf={shell.csrf}>
        <TextareaField label={r.typed} hint={r.typedHint} rows={3} autocomplete="off" {...typedIn(form)('typed')} />
        <ButtonRow>
          <Button kind="primary">{r.look}</Button>
        </ButtonRow>
      </Form>
      <Form action={`${address}/file`} csrf={shell.csrf} enctype="multipart/form-data">
        <Field
          label={r.file}
          hint={r.fileHint}
          name="file"
          type="file"
          accept=".json,application/json"
          error={form.errors.file}
        />
        <ButtonRow>
          <Button>{r.lookFile}</Button>
        </ButtonRow>
      </Form>
      <p>
        <a href={urls.inClub(slug, 'library')}>{t.library.title}</a>
      </p>
    </ReceiveFrame>
  );
}

/** A director says for whom. */
export function ForWhomPage({ shell, slug, drivers, query }: ForWhomPageProps) {
  return (
    <Page shell={shell} title={r.forWhom} heading={r.forWhom}>
      <ul class="places">
        {drivers.map(({ id, nickname }) => (
          <li key={id}>
            <a href={`${urls.driver(slug, id, 'profiles/receive')}${query}`}>
              <bdi>{nickname}</bdi>
            </a>
          </li>
        ))}
      </ul>
    </Page>
  );
}

interface ForWhomPageProps {
  shell: Shell;
  slug: string;
  drivers: readonly Pick<Driver, 'id' | 'nickname'>[];
  /** What is to be taken, as an address carries it: with its question mark, or empty. */
  query: string;
}

/** A version of the driver's own to compare with. */
export interface OwnVersion {
  /** As forms name it. */
  key: string;
  setup: Profile;
  version: number;
  /** Null: any car. */
  carName: string | null;
}

interface LookPageProps {
  shell: Shell;
  slug: string;
  driver: Pick<Driver, 'id' | 'nickname'>;
  received: Received;
  /** What it is compared with; null for nothing. */
  own: OwnVersion | null;
  owns: readonly OwnVersion[];
  pictures: PicturesData;
  /** What going from the own one to the received one feels like. */
  words: readonly string[];
  limit: RaceLimit | null;
  cars: readonly NamedCar[];
  tracks: readonly Track[];
  form: FormState;
}

/** What a received profile does, before it is kept. */
export function LookPage(props: LookPageProps) {
  const { shell, slug, driver, received, own, pictures, words } = props;
  const { profile } = received;
  const title = r.lookTitle(profile.name);
  const address = urls.driver(slug, driver.id, 'profiles/receive');
  return (
    <ReceiveFrame shell={shell} slug={slug} driver={driver} title={title} errors={props.form.errors}>
      <p>
        <bdi>{sourceWords(received)}</bdi>
      </p>
      <Lifts {...props} />
      <Section title={t.shown.does} id="does">
        <Compared {...props} address={address} />
        {own === null ? null : (
          <>
            <h3>{r.words}</h3>
            <FeltWords words={words} />
          </>
        )}
        <ProfilePictures data={pictures} names={r.drawn} />
      </Section>
      <Section title={t.shown.settings} id="settings">
        <SettingsTable
          caption={t.shown.settings}
          setups={[
            { title: r.receivedName(profile.name), setup: profile },
            ...(own === null ? [] : [{ title: own.setup.name, setup: own.setup }]),
          ]}
        />
        {profile.notes === undefined || profile.notes === '' ? null : (
          <p>
            {t.shown.notes}: <bdi>{profile.notes}</bdi>
          </p>
        )}
      </Section>
      <Keep {...props} address={address} />
      <ButtonRow>
        <ButtonLink href={address}>{r.again}</ButtonLink>
      </ButtonRow>
    </ReceiveFrame>
  );
}

function sourceWords({ source, author, version }: Received): string {
  const via = { link: r.from.share, entry: r.from.library, code: r.from.code, file: r.from.file }[source.kind];
  const parts = [via, ...(author === null ? [] : [t.shown.by(author)])];
  return version === null ? parts.join(' ') : `${parts.join(' ')} ${t.page.versionName(version)}.`;
}

/** Says when the received profile gives more power than what the driver has now, or than a race allows. */
function Lifts({ received: { profile }, own, limit }: LookPageProps) {
  const liftsOwn = own !== null && profile.maxDrive > own.setup.maxDrive;
  const liftsRace = limit !== null && profile.maxDrive > limit.permille;
  if (!liftsOwn && !liftsRace) return null;
  return (
    <Notice kind="warning" title={liftsOwn ? r.lifts : r.aboveLimit}>
      {liftsOwn ? (
        <p>
          <bdi>{r.liftsOwn(percent(profile.maxDrive), percent(own.setup.maxDrive), own.setup.name)}</bdi>
        </p>
      ) : null}
      {liftsRace ? (
        <p>
          <bdi>{r.liftsRace(percent(profile.maxDrive), percent(limit.permille), limit.raceName)}</bdi>
        </p>
      ) : null}
    </Notice>
  );
}

type WithAddress = LookPageProps & { address: string };

/** Chooses what the received profile is compared with. */
function Compared({ shell, address, received, own, owns }: WithAddress) {
  if (owns.length === 0) return null;
  const { kind, value } = received.source;
  return (
    <Form action={`${address}/look`} csrf={shell.csrf} hidden={{ kind, value }}>
      <div class="field-row">
        <SelectField
          label={r.compareWith}
          name="with"
          value={own?.key ?? 'none'}
          options={[
            ...owns.map(({ key, setup, version, carName }) => ({
              value: key,
              label: r.compareOption(setup.name, version, carName),
            })),
            { value: 'none', label: r.compareNone },
          ]}
        />
      </div>
      <ButtonRow>
        <Button>{r.compareButton}</Button>
      </ButtonRow>
    </Form>
  );
}

function Keep({ shell, address, received, form, cars, tracks }: WithAddress) {
  const { kind, value } = received.source;
  return (
    <Section title={r.keepTitle} id="keep">
      <p>{r.keepIntro}</p>
      <Form action={`${address}/keep`} csrf={shell.csrf} commandId={shell.commandId} hidden={{ kind, value }}>
        <Field
          label={r.name}
          hint={kind === 'code' ? r.shortName : undefined}
          maxlength={40}
          required
          {...typedIn(form)('name')}
        />
        <PlaceFields form={form} cars={cars} tracks={tracks} />
        <ButtonRow>
          <Button kind="primary">{r.keep}</Button>
        </ButtonRow>
      </Form>
    </Section>
  );
}
