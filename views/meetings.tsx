import type { Meeting } from '../server/meetings/store.ts';
import type { FormState } from '../server/shared/form.ts';
import type { Track } from '../server/tracks/store.ts';
import { Archiving } from './components/archiving.tsx';
import { Button, ButtonLink, ButtonRow } from './components/button.tsx';
import { Checkbox, Choice, Fieldset } from './components/choice.tsx';
import { ClubCrumbs } from './components/club-crumbs.tsx';
import { Breadcrumbs, type Crumb, EmptyState, Section } from './components/content.tsx';
import { DataTable } from './components/data-table.tsx';
import { Field, SelectField } from './components/field.tsx';
import { Form } from './components/form.tsx';
import { FormErrors } from './components/form-errors.tsx';
import { longDate, shortDate } from './format.ts';
import { Page, type Shell } from './layout.tsx';
import { meetings as t } from './texts/en/meetings.ts';
import { tracks as trackWords } from './texts/en/tracks.ts';
import { typedIn } from './typed.ts';
import { urls } from './urls.ts';

/** Noon of a calendar day: it has the same date in every zone when formatted as UTC. */
export const dayAtNoon = (day: string) => new Date(`${day}T12:00:00Z`);

/** The day of a meeting as tables show it. */
export function MeetingDay({ date, lang }: { date: string; lang: string }) {
  return <time datetime={date}>{shortDate(dayAtNoon(date), { zone: 'UTC', locale: lang })}</time>;
}

/** Day and track of a meeting, in full. */
export function MeetingLine({ meeting, lang }: { meeting: Meeting; lang: string }) {
  return (
    <p>
      {longDate(dayAtNoon(meeting.date), { zone: 'UTC', locale: lang })}, <bdi>{meeting.trackName}</bdi>
    </p>
  );
}

interface MeetingsPageProps {
  shell: Shell;
  slug: string;
  /** The latest first, archived ones too. */
  meetings: readonly Meeting[];
}

export function MeetingsPage({ shell, slug, meetings }: MeetingsPageProps) {
  const current = meetings.filter((one) => one.archivedAt === null);
  const archived = meetings.filter((one) => one.archivedAt !== null);
  const add = (
    <ButtonLink kind="primary" href={urls.inClub(slug, 'meetings/new')}>
      {t.list.new}
    </ButtonLink>
  );
  const table = (rows: readonly Meeting[], caption: string) => (
    <MeetingTable
      rows={rows}
      caption={caption}
      lang={shell.lang}
      hrefOf={(meeting) => urls.meeting(slug, meeting.id)}
    />
  );
  return (
    <Page shell={shell} title={t.list.title} heading={t.list.title} above={<ClubCrumbs slug={slug} />} aside={add}>
      {current.length === 0 ? <EmptyState title={t.list.none}>{t.tonight.none}</EmptyState> : null}
      {current.length === 0 ? null : table(current, t.list.caption)}
      {archived.length === 0 ? null : (
        <Section title={t.list.archivedTitle}>{table(archived, t.list.archivedTitle)}</Section>
      )}
    </Page>
  );
}

interface MeetingTableProps {
  rows: readonly Meeting[];
  caption: string;
  lang: string;
  hrefOf: (meeting: Meeting) => string;
}

/** Meetings as a table, each leading somewhere. */
export function MeetingTable({ rows, caption, lang, hrefOf }: MeetingTableProps) {
  return (
    <DataTable
      caption={caption}
      captionHidden
      rows={rows}
      rowKey={(meeting) => meeting.id}
      columns={[
        {
          key: 'meeting',
          head: t.results.meeting,
          rowHead: true,
          cell: (meeting) => (
            <a href={hrefOf(meeting)}>
              <bdi>{meeting.name}</bdi>
            </a>
          ),
        },
        { key: 'date', head: t.results.date, cell: (meeting) => <MeetingDay date={meeting.date} lang={lang} /> },
        { key: 'track', head: t.results.track, cell: (meeting) => <bdi>{meeting.trackName}</bdi> },
      ]}
    />
  );
}

/** The way back from a page of a meeting. */
export function MeetingCrumbs({ slug, meeting, items = [] }: { slug: string; meeting: Meeting; items?: Crumb[] }) {
  const home = { href: urls.meeting(slug, meeting.id), label: meeting.name };
  return <Breadcrumbs items={[{ href: urls.inClub(slug, 'meetings'), label: t.list.title }, home, ...items]} />;
}

interface MeetingFormProps {
  shell: Shell;
  slug: string;
  /** Tracks to choose from. */
  tracks: readonly Track[];
  form: FormState;
}

function MeetingFields({ tracks, form }: Pick<MeetingFormProps, 'tracks' | 'form'>) {
  const field = typedIn(form);
  const options = tracks.map((track) => ({ value: track.id, label: track.name }));
  return (
    <>
      <Field label={t.form.name} {...field('name', t.form.nameDefault)} required maxlength={80} />
      <Field label={t.form.date} {...field('date')} type="date" width="short" required />
      <SelectField
        label={t.form.track}
        hint={t.form.trackHint}
        {...field('trackId')}
        options={options}
        blank={options.length !== 1}
      />
    </>
  );
}

export function NewMeetingPage({ shell, slug, tracks, form }: MeetingFormProps) {
  return (
    <Page
      shell={shell}
      title={t.form.newTitle}
      heading={t.form.newTitle}
      above={<Breadcrumbs items={[{ href: urls.inClub(slug, 'meetings'), label: t.list.title }]} />}
    >
      <FormErrors errors={form.errors} />
      <Form action={urls.inClub(slug, 'meetings/new')} csrf={shell.csrf}>
        <MeetingFields tracks={tracks} form={form} />
        <ButtonRow>
          <Button kind="primary">{t.form.create}</Button>
        </ButtonRow>
      </Form>
    </Page>
  );
}

export function EditMeetingPage({ shell, slug, tracks, form, meeting }: MeetingFormProps & { meeting: Meeting }) {
  const address = urls.meeting(slug, meeting.id);
  return (
    <Page
      shell={shell}
      title={t.form.editTitle}
      heading={t.form.editTitle}
      above={<MeetingCrumbs slug={slug} meeting={meeting} />}
    >
      <FormErrors errors={form.errors} />
      <Form action={`${address}/edit`} csrf={shell.csrf}>
        <MeetingFields tracks={tracks} form={form} />
        <ButtonRow>
          <Button kind="primary">{t.form.save}</Button>
        </ButtonRow>
      </Form>
      <Archiving address={address} csrf={shell.csrf} archived={meeting.archivedAt !== null} words={t.archiving} />
    </Page>
  );
}

export function CopyMeetingPage({ shell, slug, tracks, form, meeting }: MeetingFormProps & { meeting: Meeting }) {
  return (
    <Page
      shell={shell}
      title={t.copy.title}
      heading={t.copy.title}
      above={<MeetingCrumbs slug={slug} meeting={meeting} />}
    >
      <FormErrors errors={form.errors} />
      <p>{t.copy.intro}</p>
      <Form action={urls.meeting(slug, meeting.id, 'copy')} csrf={shell.csrf}>
        <MeetingFields tracks={tracks} form={form} />
        <Checkbox
          label={t.copy.entries}
          hint={t.copy.entriesHint}
          name="entries"
          checked={form.typed.entries !== undefined}
        />
        <ButtonRow>
          <Button kind="primary">{t.copy.create}</Button>
        </ButtonRow>
      </Form>
    </Page>
  );
}

interface NightPageProps {
  shell: Shell;
  slug: string;
  meeting: Meeting;
  /** Fields of the lanes' shortest laps. */
  lanes: readonly { lane: number; field: string }[];
  form: FormState;
}

/** Settings of the night: what is counted tonight. */
export function NightPage({ shell, slug, meeting, lanes, form }: NightPageProps) {
  const field = typedIn(form);
  const modes = trackWords.startModes;
  const options = (Object.keys(modes) as (keyof typeof modes)[]).map((value) => ({
    value,
    label: modes[value].label,
    hint: modes[value].hint,
  }));
  const { value: startMode, ...start } = field('startMode');
  return (
    <Page
      shell={shell}
      title={t.night.title}
      heading={t.night.title}
      above={<MeetingCrumbs slug={slug} meeting={meeting} />}
    >
      <FormErrors errors={form.errors} />
      <p>{t.night.intro}</p>
      <Form action={urls.meeting(slug, meeting.id, 'night')} csrf={shell.csrf}>
        <Choice legend={trackWords.start} {...start} value={startMode} options={options} stacked />
        <Field
          label={trackWords.holdRoll}
          hint={trackWords.holdRollHint}
          {...field('holdRoll')}
          inputmode="decimal"
          width="number"
          unit={t.night.unit}
        />
        <Field
          label={trackWords.endRoll}
          hint={trackWords.endRollHint}
          {...field('endRoll')}
          inputmode="decimal"
          width="number"
          unit={t.night.unit}
        />
        <Fieldset legend={t.night.lanesTitle} hint={t.night.lanesHint} id="lanes">
          <div class="field-grid">
            {lanes.map(({ lane, field: name }) => (
              <Field
                key={lane}
                label={t.night.lane(lane)}
                {...field(name)}
                inputmode="decimal"
                width="number"
                unit={t.night.unit}
              />
            ))}
          </div>
        </Fieldset>
        <ButtonRow>
          <Button kind="primary">{t.night.save}</Button>
        </ButtonRow>
      </Form>
    </Page>
  );
}
