import type { Entry, Meeting, Race } from '../server/meetings/store.ts';
import type { PlanFairness } from '../server/rotation/plan-fairness.ts';
import type { StagedHeat } from '../server/rotation/store.ts';
import type { FormState } from '../server/shared/form.ts';
import { Badge } from './components/badge.tsx';
import { ButtonLink } from './components/button.tsx';
import { EmptyState, PrintHint, Section } from './components/content.tsx';
import { type Column, DataTable } from './components/data-table.tsx';
import { FormErrors } from './components/form-errors.tsx';
import type { LaneLook } from './components/lane-defaults.ts';
import { LaneMark } from './components/lane-mark.tsx';
import { Notice } from './components/notice.tsx';
import { NotOnPlan } from './entries.tsx';
import { duration } from './format.ts';
import { Page, type Shell } from './layout.tsx';
import { MeetingCrumbs, MeetingLine } from './meetings.tsx';
import { DrawForm, HandForms } from './rotation-forms.tsx';
import { handicap } from './texts/en/handicap.ts';
import { rotation as t } from './texts/en/rotation.ts';
import { idField, urls } from './urls.ts';

/** A race's plan as pages show it. */
export type ShownPlan = {
  meeting: Meeting;
  race: Race;
  /** Entries of the race, in the order of sign-up. */
  entries: readonly Entry[];
  /** Entries of all races: marshals may be any of them. */
  everybody: readonly Entry[];
  heats: readonly StagedHeat[];
};

export interface RotationPageProps extends ShownPlan {
  shell: Shell;
  slug: string;
  /** The lanes of the track, by number. */
  lanes: readonly LaneLook[];
  /** Null while nobody is on the plan. */
  fairness: PlanFairness | null;
  /** How long the heats will take at most, in milliseconds; null where nobody can say. */
  lengthMs: number | null;
  /** The entry whose path is shown; null for everybody. */
  only: Entry | null;
  /** The form of the draw, or the one that came back. */
  form: FormState;
  /** Name of the field of who drives on a lane of a heat that is added. */
  addLaneField: (lane: number) => string;
  /** Why a change was refused; null when none was. */
  refused: string | null;
}

/** The director's page of a rotation: who is on which lane in which heat, how fair that is, and how to change it. */
export function RotationPage(props: RotationPageProps) {
  const { shell, slug, meeting, race, heats, entries, form, refused } = props;
  const title = t.title(race.name);
  const drivesIn = (entry: Entry) =>
    heats.filter((heat) => heat.lanes.some((lane) => lane.entryId === entry.id)).length;
  return (
    <Page
      shell={shell}
      title={title}
      heading={<bdi>{title}</bdi>}
      kind="wide"
      above={
        <>
          <MeetingCrumbs slug={slug} meeting={meeting} />
          <MeetingLine meeting={meeting} lang={shell.lang} />
        </>
      }
      aside={
        <div class="button-row">
          {heats.some((heat) => heat.stage === 'planned') ? (
            <ButtonLink kind="primary" href={urls.meeting(slug, meeting.id, 'control')}>
              {t.runHeats}
            </ButtonLink>
          ) : null}
          <ButtonLink href={urls.race(slug, meeting.id, race.id, 'entries')}>{t.people}</ButtonLink>
          <ButtonLink href={urls.race(slug, meeting.id, race.id, 'handicap')}>{handicap.title}</ButtonLink>
          <ButtonLink href={urls.meeting(slug, meeting.id, 'programme')}>{t.programme}</ButtonLink>
        </div>
      }
    >
      {refused === null ? null : <Notice kind="danger" title={refused} />}
      <FormErrors errors={form.errors} />
      {heats.length === 0 ? (
        <NotDrawn {...props} />
      ) : (
        <>
          <GoneFromPlan entries={entries} heats={heats} />
          <NotOnPlan entries={entries.map((entry) => ({ ...entry, heats: drivesIn(entry) }))} />
          <Heats {...props} />
          <Fairness {...props} />
        </>
      )}
      {entries.length > 0 ? <DrawForm {...props} /> : null}
      {heats.length > 0 ? <HandForms {...props} /> : null}
    </Page>
  );
}

/** Says who went home and is still expected on a lane. */
function GoneFromPlan({ entries, heats }: Pick<ShownPlan, 'entries' | 'heats'>) {
  const planned = heats.filter((heat) => heat.stage === 'planned').flatMap((heat) => heat.lanes);
  const gone = entries.filter(
    (entry) => entry.withdrawnAt !== null && planned.some((lane) => lane.entryId === entry.id),
  );
  if (gone.length === 0) return null;
  return (
    <Notice kind="warning" title={t.goneDrawn(gone.map((entry) => entry.nickname).join(', '))}>
      {t.goneDrawnHint}
    </Notice>
  );
}

function NotDrawn({ slug, meeting, race, entries }: RotationPageProps) {
  if (entries.length > 0) return <EmptyState title={t.notDrawnTitle}>{t.notDrawn}</EmptyState>;
  const enter = (
    <ButtonLink kind="primary" href={urls.race(slug, meeting.id, race.id, 'entries')}>
      {t.enter}
    </ButtonLink>
  );
  return (
    <EmptyState title={t.notDrawnTitle} action={enter}>
      {t.nobody}
    </EmptyState>
  );
}

function Heats(props: RotationPageProps) {
  const { slug, meeting, race, only } = props;
  const here = urls.race(slug, meeting.id, race.id, 'rotation');
  return (
    <>
      {only === null ? (
        <p class="no-print">{t.pathHint}</p>
      ) : (
        <p>
          <strong>
            <bdi>{t.pathOf(only.nickname)}</bdi>
          </strong>
          <a class="no-print path-all" href={here}>
            {t.showAll}
          </a>
        </p>
      )}
      <HeatTable {...props} hrefOf={(entry) => `${here}?driver=${encodeURIComponent(idField(entry.id))}`} />
      <PrintHint />
    </>
  );
}

interface HeatTableProps extends ShownPlan {
  lanes: readonly LaneLook[];
  only: Entry | null;
  /** Where a nickname leads; null leads nowhere. */
  hrefOf: ((entry: Entry) => string) | null;
}

/** Heats down, lanes across. */
export function HeatTable({ race, entries, everybody, heats, lanes, only, hrefOf }: HeatTableProps) {
  const byId = new Map(everybody.map((entry) => [entry.id, entry]));
  const seat = (id: string | undefined) => <Seat entry={byId.get(id ?? '')} only={only} hrefOf={hrefOf} />;
  const list = (ids: readonly string[]) =>
    ids.map((id, i) => (
      <>
        {i > 0 ? ', ' : null}
        {seat(id)}
      </>
    ));
  const numberOf = new Map(heats.map((heat) => [heat.id, heat.ordinal]));
  const sitters = (heat: StagedHeat) =>
    entries
      .filter((entry) => entry.withdrawnAt === null)
      .map((entry) => entry.id)
      .filter((id) => !heat.lanes.some((lane) => lane.entryId === id) && !heat.marshals.includes(id));
  const columns: Column<StagedHeat>[] = [
    {
      key: 'heat',
      head: t.heat,
      rowHead: true,
      cell: (heat) => <HeatName heat={heat} rerunOf={numberOf.get(heat.reruns ?? '') ?? null} />,
    },
    ...lanes.map((lane) => ({
      key: `lane-${lane.number}`,
      head: <LaneMark lane={lane} size="s" />,
      cell: (heat: StagedHeat) => seat(heat.lanes.find((one) => one.lane === lane.number)?.entryId),
    })),
  ];
  if (heats.some((heat) => heat.marshals.length > 0)) {
    columns.push({ key: 'marshals', head: t.marshals, words: true, cell: (heat) => list(heat.marshals) });
  }
  if (heats.some((heat) => sitters(heat).length > 0)) {
    columns.push({ key: 'out', head: t.sitOut, words: true, cell: (heat) => list(sitters(heat)) });
  }
  return (
    <DataTable
      caption={t.caption(race.name)}
      captionHidden
      id="rotation"
      rows={heats}
      rowKey={(heat) => idField(heat.id)}
      columns={columns}
      dense
    />
  );
}

function HeatName({ heat, rerunOf }: { heat: StagedHeat; rerunOf: number | null }) {
  return (
    <>
      <span class="figure">{heat.ordinal}</span>
      {heat.stage === 'planned' ? null : (
        <>
          {' '}
          <Badge kind={heat.stage === 'armed' ? 'strong' : 'plain'}>{t.stage[heat.stage]}</Badge>
        </>
      )}
      {rerunOf === null ? null : <span class="heat-note"> {t.rerun(rerunOf)}</span>}
    </>
  );
}

interface SeatProps {
  entry: Entry | undefined;
  only: Entry | null;
  hrefOf: ((entry: Entry) => string) | null;
}

function Seat({ entry, only, hrefOf }: SeatProps) {
  if (!entry) return <span class="seat-other">{t.emptyLane}</span>;
  const kind = only === null ? 'seat' : only.id === entry.id ? 'seat seat-mine' : 'seat seat-other';
  const name = <bdi>{entry.nickname}</bdi>;
  return hrefOf === null ? (
    <span class={kind}>{name}</span>
  ) : (
    <a class={kind} href={hrefOf(entry)}>
      {name}
    </a>
  );
}

function Fairness({ fairness, lengthMs, heats, entries, race }: RotationPageProps) {
  if (fairness === null) return null;
  const words = t.fairness;
  const { lanes, sitOut, backToBack, opponents, duty } = fairness.certificate;
  const best = (one: { verdict: string }) => (one.verdict === 'proved best' ? ` ${words.best}` : '');
  const counted = heats.filter((heat) => heat.stage !== 'void').length;
  const estimate = lengthMs === null ? null : duration(lengthMs, t.estimate);
  const laneWords =
    lanes.spread === 0
      ? words.lanesEven
      : lanes.verdict === 'proved best'
        ? words.lanesNear
        : words.lanesUneven(lanes.spread);
  const sentences = [
    words.heats(counted, estimate),
    laneWords,
    words.waits(sitOut.longest) + (sitOut.longest > 0 ? best(sitOut) : ''),
    words.backToBack(backToBack.count) + (backToBack.count > 0 ? best(backToBack) : ''),
    fairness.drivers.length > 1 ? words.pairs(opponents.min, opponents.max) + best(opponents) : '',
    race.marshals > 0 ? words.duty(duty.min, duty.max) : '',
    race.marshals > 0 && duty.shortage > 0 ? words.shortage(duty.shortage) : '',
  ];
  return (
    <Section title={t.fairnessTitle} id="fairness">
      <ul>
        {sentences
          .filter((sentence) => sentence !== '')
          .map((sentence) => (
            <li key={sentence}>{sentence}</li>
          ))}
      </ul>
      {heats.some((heat) => heat.stage !== 'planned') ? <p>{words.changing}</p> : null}
      {fairness.drivers.length > 1 ? <Pairs fairness={fairness} entries={entries} /> : null}
    </Section>
  );
}

/** How often each two drivers meet, as a triangle. */
function Pairs({ fairness, entries }: { fairness: PlanFairness; entries: readonly Entry[] }) {
  const nameOf = (id: string | number) => entries.find((entry) => entry.id === id)?.nickname ?? '';
  const rows = fairness.drivers.map((driver, i) => ({ driver: String(driver), i }));
  return (
    <details class="no-print">
      <summary>{t.pairsTitle}</summary>
      <DataTable
        caption={t.pairsCaption}
        rows={rows}
        rowKey={(row) => idField(row.driver)}
        dense
        columns={[
          { key: 'driver', head: t.pairsDriver, rowHead: true, cell: (row) => <bdi>{nameOf(row.driver)}</bdi> },
          ...rows.slice(0, -1).map((column) => ({
            key: column.driver,
            head: <bdi>{nameOf(column.driver)}</bdi>,
            numeric: true,
            cell: (row: (typeof rows)[number]) => (row.i > column.i ? fairness.meetings[row.i]?.[column.i] : ''),
          })),
        ]}
      />
    </details>
  );
}
