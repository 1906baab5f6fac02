import type { FormState } from '../server/shared/form.ts';
import type { Lane, Track } from '../server/tracks/store.ts';
import { ClubListPage } from './club-list.tsx';
import { Archiving } from './components/archiving.tsx';
import { Button, ButtonRow } from './components/button.tsx';
import { Choice, Fieldset } from './components/choice.tsx';
import { ClubCrumbs } from './components/club-crumbs.tsx';
import { DataTable } from './components/data-table.tsx';
import { Field, SelectField } from './components/field.tsx';
import { Form } from './components/form.tsx';
import { FormErrors } from './components/form-errors.tsx';
import { lanePatterns } from './components/lane-defaults.ts';
import { LaneMark } from './components/lane-mark.tsx';
import { Notice } from './components/notice.tsx';
import { laneLook, lanesAlike } from './lane-look.ts';
import { Page, type Shell } from './layout.tsx';
import { tracks as t } from './texts/en/tracks.ts';
import { typedIn } from './typed.ts';
import { urls } from './urls.ts';

export type ListedTrack = Track & { lanes: readonly Lane[] };

interface TracksPageProps {
  shell: Shell;
  slug: string;
  /** All of the club's own tracks, archived ones too. */
  tracks: readonly ListedTrack[];
}

export function TracksPage({ shell, slug, tracks }: TracksPageProps) {
  const table = (caption: string, some: readonly ListedTrack[]) => (
    <TrackTable slug={slug} caption={caption} tracks={some} />
  );
  return <ClubListPage shell={shell} slug={slug} path="tracks" items={tracks} words={t} table={table} />;
}

function TrackTable({ slug, caption, tracks }: { slug: string; caption: string; tracks: readonly ListedTrack[] }) {
  return (
    <DataTable
      caption={caption}
      captionHidden
      rows={tracks}
      rowKey={(track) => track.id}
      columns={[
        {
          key: 'name',
          head: t.columns.name,
          rowHead: true,
          cell: (track) => (
            <a href={urls.track(slug, track.id)}>
              <bdi>{track.name}</bdi>
            </a>
          ),
        },
        { key: 'lanes', head: t.columns.lanes, numeric: true, cell: (track) => track.lanes.length },
        { key: 'start', head: t.columns.start, cell: (track) => startWords(track.startMode).short },
      ]}
    />
  );
}

const startWords = (mode: string) => t.startModes[mode as keyof typeof t.startModes];

interface TrackFormProps {
  shell: Shell;
  slug: string;
  form: FormState;
}

export function NewTrackPage({ shell, slug, form }: TrackFormProps) {
  const list = urls.inClub(slug, 'tracks');
  return (
    <Page
      shell={shell}
      title={t.newTitle}
      heading={t.newTitle}
      above={<ClubCrumbs slug={slug} items={[{ href: list, label: t.title }]} />}
    >
      <FormErrors errors={form.errors} />
      <p>{t.newIntro}</p>
      <Form action={`${list}/new`} csrf={shell.csrf}>
        <TrackFields form={form} />
        <ButtonRow>
          <Button kind="primary">{t.create}</Button>
        </ButtonRow>
      </Form>
    </Page>
  );
}

interface TrackPageProps extends TrackFormProps {
  track: ListedTrack;
  /** Best clean lap and the shortest lap it suggests, as seconds in text, by lane number. */
  suggestions: ReadonlyMap<number, { best: string; suggested: string }>;
  /** What was just done, in a sentence. */
  done: string | null;
}

export function TrackPage({ shell, slug, form, track, suggestions, done }: TrackPageProps) {
  const address = urls.track(slug, track.id);
  const alike = lanesAlike(track.lanes).map(({ one, other }) => t.pair(one, other));
  return (
    <Page
      shell={shell}
      title={track.name}
      heading={<bdi>{track.name}</bdi>}
      above={<ClubCrumbs slug={slug} items={[{ href: urls.inClub(slug, 'tracks'), label: t.title }]} />}
      status={done ?? undefined}
    >
      <FormErrors errors={form.errors} />
      {done === null ? null : <Notice kind="ok">{done}</Notice>}
      {alike.length === 0 ? null : <Notice kind="warning">{t.alike(alike)}</Notice>}
      <Form action={address} csrf={shell.csrf}>
        <TrackFields form={form} />
        {track.lanes.map((lane) => (
          <LaneFields key={lane.number} form={form} lane={lane} suggestion={suggestions.get(lane.number) ?? null} />
        ))}
        <ButtonRow>
          <Button kind="primary">{t.save}</Button>
        </ButtonRow>
      </Form>
      <Archiving address={address} csrf={shell.csrf} archived={track.archivedAt !== null} words={t} />
    </Page>
  );
}

function TrackFields({ form }: { form: FormState }) {
  const field = typedIn(form);
  const options = <K extends string>(words: Record<K, { label: string; hint: string }>) =>
    (Object.keys(words) as K[]).map((value) => ({ value, label: words[value].label, hint: words[value].hint }));
  const shown = (name: string) => <input type="hidden" {...hidden(field(name))} />;
  return (
    <>
      {shown('shownHoldRoll')}
      {shown('shownEndRoll')}
      <Field label={t.name} {...field('name')} required maxlength={80} />
      <Field label={t.lanes} hint={t.lanesHint} {...field('lanes')} type="number" min={1} max={16} />
      <Choice legend={t.start} {...field('startMode')} options={options(t.startModes)} stacked />
      <Choice legend={t.power} hint={t.powerHint} {...field('power')} options={options(t.powerCuts)} />
      <Field label={t.holdRoll} hint={t.holdRollHint} {...field('holdRoll')} {...seconds} />
      <Field label={t.endRoll} hint={t.endRollHint} {...field('endRoll')} {...seconds} />
    </>
  );
}

const seconds = { inputmode: 'decimal', width: 'number', unit: t.seconds } as const;
const hidden = ({ name, value }: { name: string; value: string }) => ({ name, value });

interface LaneFieldsProps {
  form: FormState;
  lane: Lane;
  suggestion: { best: string; suggested: string } | null;
}

function LaneFields({ form, lane, suggestion }: LaneFieldsProps) {
  const field = typedIn(form);
  const look = laneLook(lane);
  const n = lane.number;
  return (
    <Fieldset
      id={`lane-${n}`}
      legend={
        <span class="lane-with-name">
          <LaneMark lane={look} decorative />
          {t.laneIn(n, look.name ?? '')}
        </span>
      }
    >
      <div class="field-row">
        <Field label={t.colour} {...field(`colour-${n}`)} type="color" />
        <SelectField
          label={t.pattern}
          {...field(`pattern-${n}`)}
          options={lanePatterns.map((pattern) => ({ value: pattern, label: t.patterns[pattern] ?? pattern }))}
          width="short"
        />
        <Field label={t.length} {...field(`length-${n}`)} inputmode="decimal" width="number" unit={t.metres} />
        <Field label={t.minLap} {...field(`minLap-${n}`)} {...seconds} />
      </div>
      {suggestion ? <p class="field-hint">{t.suggestion(suggestion.best, suggestion.suggested)}</p> : null}
    </Fieldset>
  );
}
