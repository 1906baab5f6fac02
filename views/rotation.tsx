import type { Entry, Meeting, Race } from '../server/meetings/store.ts';
import type { DrawFormView } from '../server/rotation/draw-form.ts';
import type { DrawRecord } from '../server/rotation/draws-store.ts';
import type { HeatBlock } from '../server/rotation/heat-groups.ts';
import type { HeatTimes, NightLine } from '../server/rotation/night-line.ts';
import type { PlanFairness } from '../server/rotation/plan-fairness.ts';
import type { StagedHeat } from '../server/rotation/store.ts';
import type { FormState } from '../server/shared/form.ts';
import { ButtonLink } from './components/button.tsx';
import { CertificateWords } from './components/certificate.tsx';
import { EmptyState, PrintHint, Section } from './components/content.tsx';
import { FormErrors } from './components/form-errors.tsx';
import type { LaneLook } from './components/lane-defaults.ts';
import { Notice } from './components/notice.tsx';
import { NotOnPlan } from './entries.tsx';
import { duration, shortDate, timeOfDay } from './format.ts';
import { Page, type Shell } from './layout.tsx';
import { MeetingCrumbs, MeetingLine } from './meetings.tsx';
import { DrawForm } from './rotation-draw-form.tsx';
import { HandForms } from './rotation-forms.tsx';
import { HeatGrid, NightPicture, PairMatrices, PathChoice } from './rotation-pictures.tsx';
import { certificate as certificateWords } from './texts/en/certificate.ts';
import { handicap } from './texts/en/handicap.ts';
import { rotation as t } from './texts/en/rotation.ts';
import { rotationPictures as pictures } from './texts/en/rotation-pictures.ts';
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
  /** The heats in neighbours of one group. */
  blocks: readonly HeatBlock<StagedHeat>[];
  /** Who does what in which heat. */
  night: NightLine;
  /** When heats will probably start; null where nobody can say. */
  times: HeatTimes | null;
  clock: { now: Date; zone: string; locale: string };
  /** The latest draw of the race; null where none was stored. */
  drawn: DrawRecord | null;
  /** Where it is read as JSON; null where nowhere. */
  drawnHref: string | null;
  /** The entry whose path is shown; null for everybody. */
  only: Entry | null;
  /** The form of the draw. */
  draw: DrawFormView;
  /** The form of a change by hand that came back. */
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
          <Pictures {...props} />
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

/** The grid, beside it what it is worth, below it the night. */
function Pictures(props: RotationPageProps) {
  const { fairness, entries, lanes, only } = props;
  const beside = fairness !== null && largestGroup(fairness, entries) <= fitBeside;
  const pairs =
    fairness === null || fairness.drivers.length < 2 ? null : (
      <div class="rotation-pairs">
        <PairMatrices fairness={fairness} entries={entries} path={only} />
      </div>
    );
  return (
    <>
      <div class={lanes.length > 5 ? 'rotation-top rotation-top-wide' : 'rotation-top'}>
        <Heats {...props} />
        <div class="rotation-beside">
          <Fairness {...props} />
          {beside ? pairs : null}
        </div>
      </div>
      {beside ? null : pairs}
      <Section title={pictures.night.title} id="night-section">
        <NightPicture {...props} path={only} />
      </Section>
    </>
  );
}

/** Drivers in the largest triangle of pairs. */
function largestGroup({ drivers }: PlanFairness, entries: readonly Entry[]): number {
  const groupOf = new Map(entries.map((entry) => [entry.id, entry.groupNo]));
  const sizes = new Map<number | null, number>();
  for (const driver of drivers) {
    const group = groupOf.get(String(driver)) ?? null;
    sizes.set(group, (sizes.get(group) ?? 0) + 1);
  }
  return Math.max(...sizes.values());
}

/** Most drivers whose triangle of pairs fits beside the grid. */
const fitBeside = 14;

function Heats(props: RotationPageProps) {
  const { slug, meeting, race, entries, everybody, heats, blocks, lanes, only, night } = props;
  const here = urls.race(slug, meeting.id, race.id, 'rotation');
  return (
    <Section title={pictures.grid.title} id="rotation-heats">
      <PathChoice here={here} entries={entries} path={only} night={night} heats={heats} />
      <HeatGrid
        id="rotation"
        caption={t.caption(race.name)}
        blocks={blocks}
        lanes={lanes}
        everybody={everybody}
        path={only}
        hrefOf={(entry) => `${here}?driver=${encodeURIComponent(idField(entry.id))}`}
      />
      <PrintHint />
    </Section>
  );
}

/** The certificate of the whole plan as it now stands, how long it takes, and how it came about. */
function Fairness({ fairness, lengthMs, heats, night, drawn, drawnHref, clock }: RotationPageProps) {
  if (fairness === null) return null;
  const counted = heats.filter((heat) => heat.stage !== 'void').length;
  const estimate = lengthMs === null ? null : duration(lengthMs, t.estimate);
  const short = night.emptyPosts.flatMap((missing, h) =>
    missing > 0 ? { heat: heats[h]?.ordinal ?? 0, missing } : [],
  );
  return (
    <Section title={certificateWords.title} id="fairness">
      <p>{t.fairness.heats(counted, estimate)}</p>
      <CertificateWords
        certificate={fairness.certificate}
        emptyPosts={short.length === heats.length ? '' : certificateWords.emptyPosts(short, heats.length)}
      />
      {heats.some((heat) => heat.stage !== 'planned') ? <p>{t.fairness.changing}</p> : null}
      {drawn === null ? null : <DrawnLine drawn={drawn} href={drawnHref} clock={clock} />}
    </Section>
  );
}

type DrawnLineProps = { drawn: DrawRecord; href: string | null; clock: RotationPageProps['clock'] };

/** How the latest draw can be drawn again: by whom, from what, when. */
function DrawnLine({ drawn, href, clock }: DrawnLineProps) {
  return (
    <p class="drawn-line">
      {pictures.drawn.line(drawn.seed, drawn.engine)}
      <time datetime={drawn.createdAt.toISOString()}>
        {shortDate(drawn.createdAt, clock)}, {timeOfDay(drawn.createdAt, clock)}
      </time>
      {href === null ? null : (
        <span class="no-print">
          {': '}
          <a href={href}>{pictures.drawn.json}</a>
        </span>
      )}
      .
    </p>
  );
}
