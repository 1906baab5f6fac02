import type { FormState } from '../server/shared/form.ts';
import type { DeviceState } from '../server/timing/device-state.ts';
import type { SetAside } from '../server/timing/device-store.ts';
import type { Track } from '../server/tracks/store.ts';
import { Button, ButtonLink, ButtonRow } from './components/button.tsx';
import { Choice } from './components/choice.tsx';
import { ClubCrumbs } from './components/club-crumbs.tsx';
import { DefinitionList, EmptyState, Section } from './components/content.tsx';
import { DataTable } from './components/data-table.tsx';
import { Field, SelectField } from './components/field.tsx';
import { Form } from './components/form.tsx';
import { FormErrors } from './components/form-errors.tsx';
import { Notice } from './components/notice.tsx';
import { Cautions } from './device-token.tsx';
import { shortDate, timeOfDay } from './format.ts';
import { Page, type Shell } from './layout.tsx';
import { devices as t } from './texts/en/devices.ts';
import { typedIn } from './typed.ts';
import { urls } from './urls.ts';

export type ListedSensor = {
  id: string;
  name: string;
  bits: number;
  trackId: string;
  trackName: string;
  state: DeviceState;
  /** Crossings it still held back when it last said so; null for one that never did. */
  buffered: number | null;
  /** Reports that were set aside. */
  aside: number;
};

/** An age in the largest unit that fits, cut. */
function ageWords(ms: number): string {
  const seconds = Math.floor(ms / 1000);
  if (seconds < 120) return t.secondsAgo(seconds);
  if (seconds < 7200) return t.minutesAgo(Math.floor(seconds / 60));
  if (seconds < 172_800) return t.hoursAgo(Math.floor(seconds / 3600));
  return t.daysAgo(Math.floor(seconds / 86_400));
}

function stateWords(state: DeviceState): string {
  if (state.kind !== 'silent') return t.states[state.kind];
  return state.ageMs < 120_000 ? t.states.silent(Math.floor(state.ageMs / 1000)) : t.states.silentLong;
}

interface DevicesPageProps {
  shell: Shell;
  slug: string;
  sensors: readonly ListedSensor[];
}

export function DevicesPage({ shell, slug, sensors }: DevicesPageProps) {
  const address = urls.inClub(slug, 'devices');
  const add = (
    <ButtonLink kind="primary" href={`${address}/new`}>
      {t.add}
    </ButtonLink>
  );
  return (
    <Page shell={shell} title={t.title} heading={t.title} above={<ClubCrumbs slug={slug} />} aside={add}>
      <p>{t.intro}</p>
      {sensors.length === 0 ? (
        <EmptyState title={t.none}>{t.noneIntro}</EmptyState>
      ) : (
        <>
          <SensorTable slug={slug} sensors={sensors} />
          <p>
            <ButtonLink href={address}>{t.lookAgain}</ButtonLink>
          </p>
        </>
      )}
      <Cautions />
    </Page>
  );
}

function SensorTable({ slug, sensors }: { slug: string; sensors: readonly ListedSensor[] }) {
  return (
    <DataTable
      caption={t.title}
      captionHidden
      rows={sensors}
      rowKey={(sensor) => sensor.id}
      columns={[
        {
          key: 'name',
          head: t.columns.name,
          rowHead: true,
          cell: (sensor) => (
            <>
              <a href={urls.device(slug, sensor.trackId, sensor.id)}>
                <bdi>{sensor.name}</bdi>
              </a>
              <span class="cell-more">
                <bdi>{sensor.trackName}</bdi>
              </span>
            </>
          ),
        },
        { key: 'state', head: t.columns.state, cell: (sensor) => stateWords(sensor.state) },
        { key: 'buffered', head: t.columns.buffered, numeric: true, cell: (sensor) => sensor.buffered ?? '–' },
        { key: 'aside', head: t.columns.aside, numeric: true, cell: (sensor) => sensor.aside },
      ]}
    />
  );
}

interface NewDevicePageProps {
  shell: Shell;
  slug: string;
  form: FormState;
  /** Tracks in use. */
  tracks: readonly Track[];
}

export function NewDevicePage({ shell, slug, form, tracks }: NewDevicePageProps) {
  const field = typedIn(form);
  const list = urls.inClub(slug, 'devices');
  return (
    <Page
      shell={shell}
      title={t.newTitle}
      heading={t.newTitle}
      above={<ClubCrumbs slug={slug} items={[{ href: list, label: t.title }]} />}
    >
      <FormErrors errors={form.errors} />
      {tracks.length === 0 ? (
        <Notice kind="warning">{t.noTrack}</Notice>
      ) : (
        <Form action={`${list}/new`} csrf={shell.csrf}>
          <Field label={t.name} hint={t.nameHint} {...field('name')} required />
          <SelectField
            label={t.track}
            {...field('track')}
            options={tracks.map((track) => ({ value: track.id, label: track.name }))}
          />
          <Choice
            legend={t.bitsChoice}
            {...field('bits')}
            options={[
              { value: '32', ...t.bits32 },
              { value: '64', ...t.bits64 },
            ]}
          />
          <ButtonRow>
            <Button kind="primary">{t.create}</Button>
          </ButtonRow>
        </Form>
      )}
      <Cautions />
    </Page>
  );
}

interface DevicePageProps {
  shell: Shell;
  slug: string;
  /** The club's time zone. */
  zone: string;
  sensor: ListedSensor;
  /** The newest reports that were set aside. */
  aside: readonly SetAside[];
  form: FormState;
  saved: boolean;
}

export function DevicePage({ shell, slug, zone, sensor, aside, form, saved }: DevicePageProps) {
  const address = urls.device(slug, sensor.trackId, sensor.id);
  const { state } = sensor;
  const facts = [
    { label: t.state, value: stateWords(state) },
    { label: t.lastHeartbeat, value: 'ageMs' in state ? ageWords(state.ageMs) : t.never },
    { label: t.waiting, value: sensor.buffered ?? t.unknown },
    { label: t.track, value: <bdi>{sensor.trackName}</bdi> },
    { label: t.bits, value: t.bitsOf(sensor.bits) },
  ];
  return (
    <Page
      shell={shell}
      title={sensor.name}
      heading={<bdi>{sensor.name}</bdi>}
      above={<ClubCrumbs slug={slug} items={[{ href: urls.inClub(slug, 'devices'), label: t.title }]} />}
      aside={<ButtonLink href={address}>{t.lookAgain}</ButtonLink>}
      status={saved ? t.saved : undefined}
    >
      <FormErrors errors={form.errors} />
      {saved ? <Notice kind="ok">{t.saved}</Notice> : null}
      <DefinitionList items={facts} />
      <Section title={t.asideTitle} id="aside">
        <p>{t.asideIntro}</p>
        {sensor.aside > aside.length ? <p>{t.asideMore(aside.length, sensor.aside)}</p> : null}
        <AsideTable zone={zone} locale={shell.lang} aside={aside} />
      </Section>
      <Section title={t.rename}>
        <Form action={address} csrf={shell.csrf}>
          <Field label={t.name} {...typedIn(form)('name')} required />
          <ButtonRow>
            <Button kind="primary">{t.save}</Button>
          </ButtonRow>
        </Form>
      </Section>
      <Section title={t.tokenSection}>
        <p>{t.rotateIntro}</p>
        <Form action={`${address}/token`} csrf={shell.csrf}>
          <Button>{t.rotate}</Button>
        </Form>
        {state.kind === 'revoked' ? null : (
          <>
            <p>{t.revokeIntro}</p>
            <Form action={`${address}/revoke`} csrf={shell.csrf}>
              <Button kind="danger">{t.revoke}</Button>
            </Form>
          </>
        )}
      </Section>
    </Page>
  );
}

function AsideTable({ zone, locale, aside }: { zone: string; locale: string; aside: readonly SetAside[] }) {
  const c = t.asideColumns;
  const place = { zone, locale };
  return (
    <DataTable
      caption={t.asideTitle}
      captionHidden
      dense
      rows={aside}
      rowKey={(_row, index) => index}
      empty={t.asideNone}
      columns={[
        {
          key: 'why',
          head: c.why,
          cell: (row) => (
            <>
              <span class="cell-words">{t.whys[row.why] ?? row.why}</span>
              <span class="cell-more">
                {shortDate(row.receivedAt, place)}, {timeOfDay(row.receivedAt, place)}
              </span>
            </>
          ),
        },
        { key: 'lane', head: c.lane, numeric: true, cell: (row) => row.lane },
        { key: 'seq', head: c.seq, numeric: true, cell: (row) => row.seq },
        { key: 'boot', head: c.boot, cell: (row) => <bdi>{row.boot}</bdi> },
        { key: 'tUs', head: c.tUs, numeric: true, cell: (row) => row.tUs },
      ]}
    />
  );
}
