import type { NamedCar } from '../server/drivers/cars-store.ts';
import type { Driver, MeetingHistory } from '../server/drivers/store.ts';
import type { FormState } from '../server/shared/form.ts';
import { ClubListPage } from './club-list.tsx';
import { Archiving } from './components/archiving.tsx';
import { Button, ButtonLink, ButtonRow } from './components/button.tsx';
import { Checkbox, Choice } from './components/choice.tsx';
import { ClubCrumbs } from './components/club-crumbs.tsx';
import { Section } from './components/content.tsx';
import { DataTable } from './components/data-table.tsx';
import { Field, SelectField, TextareaField } from './components/field.tsx';
import { Form } from './components/form.tsx';
import { FormErrors } from './components/form-errors.tsx';
import { lapTime, shortDate } from './format.ts';
import { Page, type Shell } from './layout.tsx';
import { PaceReset } from './pace-reset.tsx';
import { OwnDevice } from './people.tsx';
import { drivers as t } from './texts/en/drivers.ts';
import { paceDriver } from './texts/en/pace-driver.ts';
import { profiles } from './texts/en/profiles.ts';
import { typedIn } from './typed.ts';
import { urls } from './urls.ts';

interface DriversPageProps {
  shell: Shell;
  slug: string;
  /** All drivers, archived ones too. */
  drivers: readonly Driver[];
  /** How many were just added. */
  added: number | null;
}

export function DriversPage({ shell, slug, drivers, added }: DriversPageProps) {
  const table = (caption: string, some: readonly Driver[]) => (
    <DriverTable slug={slug} caption={caption} drivers={some} />
  );
  const done = added === null ? null : t.added(added);
  return <ClubListPage shell={shell} slug={slug} path="drivers" items={drivers} words={t} table={table} done={done} />;
}

function DriverTable({ slug, caption, drivers }: { slug: string; caption: string; drivers: readonly Driver[] }) {
  return (
    <DataTable
      caption={caption}
      captionHidden
      rows={drivers}
      rowKey={(driver) => driver.id}
      columns={[
        {
          key: 'nickname',
          head: t.columns.nickname,
          rowHead: true,
          cell: (driver) => (
            <>
              <a href={urls.driver(slug, driver.id)}>
                <bdi>{driver.nickname}</bdi>
              </a>
              {driver.paceGroup === null ? null : <span class="cell-more">{t.paceGroups[driver.paceGroup]}</span>}
              {driver.marshals ? null : <span class="cell-more">{t.noDuty}</span>}
            </>
          ),
        },
        { key: 'shown', head: t.columns.shown, cell: (driver) => (driver.public ? t.shownYes : t.shownNo) },
        {
          key: 'pace',
          head: paceDriver.column,
          cell: (driver) => (
            <a
              class="pace-link"
              href={urls.driver(slug, driver.id, 'pace')}
              aria-label={paceDriver.title(driver.nickname)}
            >
              {paceDriver.column}
            </a>
          ),
        },
        {
          key: 'edit',
          head: t.columns.edit,
          cell: (driver) => (
            <a href={urls.driver(slug, driver.id, 'edit')} aria-label={t.editOf(driver.nickname)}>
              {t.edit}
            </a>
          ),
        },
      ]}
    />
  );
}

interface NewDriversPageProps {
  shell: Shell;
  slug: string;
  one: FormState;
  several: FormState;
}

export function NewDriversPage({ shell, slug, one, several }: NewDriversPageProps) {
  const list = urls.inClub(slug, 'drivers');
  const field = typedIn(one);
  const lines = typedIn(several);
  return (
    <Page
      shell={shell}
      title={t.newTitle}
      heading={t.newTitle}
      above={<ClubCrumbs slug={slug} items={[{ href: list, label: t.title }]} />}
    >
      <FormErrors errors={{ ...one.errors, ...several.errors }} />
      <Section title={t.oneTitle}>
        <Form action={`${list}/new`} csrf={shell.csrf}>
          <Field
            label={t.nickname}
            hint={t.nicknameHint}
            {...field('nickname')}
            autocomplete="nickname"
            spellcheck={false}
            required
          />
          <PublicBox form={one} id="public" />
          <MarshalsChoice form={one} />
          <PaceFields form={one} />
          <ButtonRow>
            <Button kind="primary">{t.addOne}</Button>
            <ButtonLink href={`${list}/new?suggest=1`}>{t.suggest}</ButtonLink>
          </ButtonRow>
        </Form>
      </Section>
      <Section title={t.severalTitle}>
        <Form action={`${list}/several`} csrf={shell.csrf}>
          <TextareaField
            label={t.nicknames}
            hint={t.nicknamesHint}
            {...lines('nicknames')}
            rows={8}
            autocomplete="off"
            required
          />
          <PublicBox form={several} id="several-public" />
          <ButtonRow>
            <Button kind="primary">{t.addSeveral}</Button>
          </ButtonRow>
        </Form>
      </Section>
    </Page>
  );
}

function PublicBox({ form, id }: { form: FormState; id: string }) {
  return (
    <Checkbox label={t.public} hint={t.publicHint} id={id} name="public" checked={form.typed.public !== undefined} />
  );
}

function MarshalsChoice({ form }: { form: FormState }) {
  const options = [
    { value: 'yes', label: t.marshalsYes },
    { value: 'no', label: t.marshalsNo, hint: t.marshalsNoHint },
  ];
  return <Choice legend={t.marshals} {...typedIn(form)('marshals')} options={options} />;
}

function PaceFields({ form }: { form: FormState }) {
  const field = typedIn(form);
  const groups = (['junior', 'adult'] as const).map((value) => ({ value, label: t.paceGroups[value] }));
  return (
    <>
      <SelectField
        label={t.paceGroup}
        hint={t.paceGroupHint}
        {...field('paceGroup')}
        blank={t.paceGroupBlank}
        options={groups}
      />
      <Field
        label={t.nightsBefore}
        hint={t.nightsBeforeHint}
        {...field('nightsBefore')}
        inputmode="numeric"
        width="short"
        required
      />
    </>
  );
}

interface EditDriverPageProps {
  shell: Shell;
  slug: string;
  driver: Driver;
  form: FormState;
}

export function EditDriverPage({ shell, slug, driver, form }: EditDriverPageProps) {
  const address = urls.driver(slug, driver.id);
  const above = [
    { href: urls.inClub(slug, 'drivers'), label: t.title },
    { href: address, label: driver.nickname },
  ];
  return (
    <Page
      shell={shell}
      title={t.editOf(driver.nickname)}
      heading={t.editTitle}
      above={<ClubCrumbs slug={slug} items={above} />}
    >
      <FormErrors errors={form.errors} />
      <Form action={`${address}/edit`} csrf={shell.csrf}>
        <Field label={t.nickname} hint={t.nicknameHint} {...typedIn(form)('nickname')} spellcheck={false} required />
        <PublicBox form={form} id="public" />
        <MarshalsChoice form={form} />
        <PaceFields form={form} />
        <ButtonRow>
          <Button kind="primary">{t.save}</Button>
        </ButtonRow>
      </Form>
      {driver.archivedAt === null ? <OwnDevice slug={slug} driverId={driver.id} csrf={shell.csrf} /> : null}
      <PaceReset slug={slug} driver={driver} csrf={shell.csrf} />
      <Archiving address={address} csrf={shell.csrf} archived={driver.archivedAt !== null} words={t} />
    </Page>
  );
}

interface DriverPageProps {
  shell: Shell;
  slug: string;
  /** The nickname, or what stands for it. */
  name: string;
  /** Address of the form to change the driver; null for those who may not. */
  editHref: string | null;
  /** Address of the page about the driver's pace. */
  paceHref: string;
  /** Address of the driver's controller profiles; null for those who may not see them. */
  profilesHref: string | null;
  cars: readonly NamedCar[];
  history: readonly MeetingHistory[];
}

/** What everybody in the club may know of a driver: cars, and laps meeting by meeting. */
export function DriverPage({ shell, slug, name, cars, history, ...hrefs }: DriverPageProps) {
  const { editHref, paceHref, profilesHref } = hrefs;
  const laps = history.reduce((sum, meeting) => sum + meeting.laps, 0);
  return (
    <Page
      shell={shell}
      title={name}
      heading={<bdi>{name}</bdi>}
      above={
        shell.role === 'director' ? (
          <ClubCrumbs slug={slug} items={[{ href: urls.inClub(slug, 'drivers'), label: t.title }]} />
        ) : null
      }
      aside={
        <ButtonRow>
          <ButtonLink href={paceHref}>{paceDriver.link}</ButtonLink>
          {profilesHref === null ? null : <ButtonLink href={profilesHref}>{profiles.link}</ButtonLink>}
          {editHref === null ? null : <ButtonLink href={editHref}>{t.edit}</ButtonLink>}
        </ButtonRow>
      }
    >
      {cars.length === 0 ? null : (
        <Section title={t.cars}>
          <ul>
            {cars.map((car) => (
              <li key={car.id}>
                <bdi>{car.name}</bdi>
                {car.className === null ? null : (
                  <>
                    , <bdi>{car.className}</bdi>
                  </>
                )}
              </li>
            ))}
          </ul>
        </Section>
      )}
      <Section title={t.history}>
        {history.length === 0 ? null : <p>{t.summary(t.laps(laps), t.meetings(history.length))}</p>}
        <HistoryTable slug={slug} shell={shell} history={history} />
      </Section>
    </Page>
  );
}

function HistoryTable({ slug, shell, history }: Pick<DriverPageProps, 'slug' | 'shell' | 'history'>) {
  const c = t.historyColumns;
  return (
    <DataTable
      caption={t.history}
      captionHidden
      rows={history}
      rowKey={(meeting) => meeting.meetingId}
      empty={t.historyNone}
      columns={[
        {
          key: 'meeting',
          head: c.meeting,
          rowHead: true,
          cell: (meeting) => (
            <>
              <a href={urls.meeting(slug, meeting.meetingId, 'results')}>
                <bdi>{meeting.meetingName}</bdi>
              </a>
              <span class="cell-more">
                {dayWords(meeting.date, shell.lang)}, <bdi>{meeting.trackName}</bdi>
              </span>
            </>
          ),
        },
        { key: 'laps', head: c.laps, numeric: true, cell: (meeting) => meeting.laps },
        {
          key: 'best',
          head: c.best,
          numeric: true,
          cell: (meeting) => (meeting.bestCleanUs === null ? t.noCleanLap : lapTime(meeting.bestCleanUs)),
        },
      ]}
    />
  );
}

/** A calendar day belongs to no zone: read and written as one of UTC it stays the same day. */
function dayWords(day: string, locale: string): string {
  return shortDate(new Date(`${day}T00:00:00Z`), { zone: 'UTC', locale });
}
