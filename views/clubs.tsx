import type { Club } from '../server/clubs/store.ts';
import type { FormState } from '../server/shared/form.ts';
import { Button } from './components/button.tsx';
import { ClubCrumbs } from './components/club-crumbs.tsx';
import { Field } from './components/field.tsx';
import { Form } from './components/form.tsx';
import { FormErrors } from './components/form-errors.tsx';
import { Notice } from './components/notice.tsx';
import { Page, type Shell } from './layout.tsx';
import { clubs as t } from './texts/en/clubs.ts';
import { typedIn } from './typed.ts';
import { urls } from './urls.ts';

type SetupPageProps = {
  shell: Shell;
  form: FormState;
  /** The set-up code of the link; null where it must be typed. */
  code: string | null;
  /** Why the sample club was not opened. */
  sampleError?: string;
};

/** The first page of an empty database: set up a club, or open the sample club. */
export function SetupPage({ shell, form, code, sampleError }: SetupPageProps) {
  const field = typedIn(form);
  return (
    <Page shell={shell} title={t.setup.title} heading={t.setup.title} kind="plain">
      <FormErrors errors={sampleError ? { 'sample-code': sampleError } : form.errors} />
      {code === null ? <Notice kind="info">{t.setup.beingSetUp}</Notice> : null}
      <p>{t.setup.intro}</p>
      <section class="setup-way">
        <h2>{t.setup.ownTitle}</h2>
        <p>{t.setup.ownIntro}</p>
        <Form action={urls.setup} csrf={shell.csrf} hidden={code === null ? {} : { code }}>
          <Field label={t.setup.clubName} {...field('clubName')} required autocomplete="organization" maxlength={80} />
          <Field label={t.setup.trackName} {...field('trackName')} required maxlength={80} />
          <Field
            label={t.setup.lanes}
            hint={t.setup.lanesHint}
            {...field('lanes', '4')}
            type="number"
            min={1}
            max={16}
          />
          <Field label={t.setup.zone} {...field('zone')} required data-zone-guess="" />
          {code === null ? (
            <Field label={t.setup.code} hint={t.setup.codeHint} {...field('code')} autocomplete="one-time-code" />
          ) : null}
          <Button kind="primary">{t.setup.own}</Button>
        </Form>
      </section>
      <section class="setup-way">
        <h2>{t.setup.sampleTitle}</h2>
        <p>{t.setup.sampleIntro}</p>
        <Form action={urls.setupSample} csrf={shell.csrf} hidden={code === null ? {} : { code }}>
          <input type="hidden" name="zone" value="" data-zone-guess="" />
          {code === null ? (
            <Field
              label={t.setup.code}
              hint={t.setup.codeHint}
              name="code"
              error={sampleError}
              id="sample-code"
              autocomplete="one-time-code"
            />
          ) : null}
          <Button>{t.setup.sample}</Button>
        </Form>
      </section>
    </Page>
  );
}

/** What stays from night to night: the way to drivers, cars, tracks, devices and settings. */
export function ClubPage({ shell, club }: { shell: Shell; club: Club }) {
  const places = [
    ['drivers', t.home.drivers],
    ['cars', t.home.cars],
    ['classes', t.home.classes],
    ['tracks', t.home.tracks],
    ['devices', t.home.devices],
    ['units', t.home.units],
    ['library', t.home.library],
    ['workbench', t.home.workbench],
    ['people', t.home.people],
    ['pace', t.home.pace],
    ['import', t.home.importLog],
    ['pace/lanes', t.home.paceLanes],
    ['pace/promise', t.home.pacePromise],
    ['club/settings', t.home.settings],
  ] as const;
  return (
    <Page shell={shell} title={t.home.title} heading={club.name}>
      {club.sample ? <Notice kind="info">{t.home.sample}</Notice> : null}
      <p>{t.home.intro}</p>
      <ul class="places">
        {places.map(([path, label]) => (
          <li key={path}>
            <a href={urls.inClub(club.slug, path)}>{label}</a>
          </li>
        ))}
      </ul>
      <Form action={urls.inClub(club.slug, 'leave')} csrf={shell.csrf}>
        <Button>{t.home.signOut}</Button>
      </Form>
    </Page>
  );
}

export function ClubSettingsPage({ shell, club, form }: { shell: Shell; club: Club; form: FormState }) {
  const field = typedIn(form);
  return (
    <Page shell={shell} title={t.settings.title} heading={t.settings.title} above={<ClubCrumbs slug={club.slug} />}>
      <FormErrors errors={form.errors} />
      <Form action={urls.inClub(club.slug, 'club/settings')} csrf={shell.csrf}>
        <Field label={t.settings.name} {...field('name')} required autocomplete="organization" />
        <Field label={t.settings.zone} {...field('zone')} required />
        <Button kind="primary">{t.settings.save}</Button>
      </Form>
    </Page>
  );
}
