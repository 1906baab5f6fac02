import type { Role } from '../server/accounts/roles.ts';
import type { Entry, Meeting, Race } from '../server/meetings/store.ts';
import type { StagedHeat } from '../server/rotation/store.ts';
import { ButtonLink } from './components/button.tsx';
import { Card, Cards, EmptyState, Section, Steps } from './components/content.tsx';
import type { LaneLook } from './components/lane-defaults.ts';
import { LaneMark } from './components/lane-mark.tsx';
import { Notice } from './components/notice.tsx';
import { ControllerPlaces } from './controller-places.tsx';
import { shortDate } from './format.ts';
import { Page, type Shell } from './layout.tsx';
import { dayAtNoon, MeetingTable } from './meetings.tsx';
import { clubs } from './texts/en/clubs.ts';
import { meetings } from './texts/en/meetings.ts';
import { rotation } from './texts/en/rotation.ts';
import { idField, urls } from './urls.ts';

const t = meetings.tonight;

export type Night = {
  meeting: Meeting;
  races: readonly Race[];
  entries: readonly Entry[];
  /** On the plan, in the order in which they are run. */
  heats: readonly StagedHeat[];
  lanes: readonly LaneLook[];
};

interface TonightPageProps {
  shell: Shell;
  slug: string;
  /** The club is the invented one. */
  sample: boolean;
  /** The calendar day in the club's zone, `YYYY-MM-DD`. */
  today: string;
  /** Null while the club has no meeting. */
  night: Night | null;
}

/** The club's first page: what is going on, and where to go. */
export function TonightPage({ shell, slug, sample, today, night }: TonightPageProps) {
  if (night === null) return <NoMeeting shell={shell} slug={slug} />;
  const { meeting } = night;
  const day = shortDate(dayAtNoon(meeting.date), { zone: 'UTC', locale: shell.lang });
  const when = meeting.date === today ? t.today : meeting.date > today ? t.next(day) : t.last(day);
  return (
    <Page
      shell={shell}
      title={t.title}
      heading={<bdi>{meeting.name}</bdi>}
      above={
        <p>
          {when}, <bdi>{meeting.trackName}</bdi>
        </p>
      }
      aside={
        shell.role === 'director' ? (
          <ButtonLink href={urls.inClub(slug, 'meetings/new')}>{meetings.list.new}</ButtonLink>
        ) : undefined
      }
    >
      {sample ? <Notice kind="info">{clubs.home.sample}</Notice> : null}
      {shell.role === 'director' ? <ToDo slug={slug} night={night} /> : null}
      <Places slug={slug} meeting={meeting} role={shell.role} />
      <NextHeats night={night} />
      <Section title={t.pastTitle}>
        <div class="button-row">
          <ButtonLink href={urls.inClub(slug, 'results')}>{t.past}</ButtonLink>
          {shell.role === 'director' ? <ButtonLink href={urls.inClub(slug, 'meetings')}>{t.all}</ButtonLink> : null}
        </div>
      </Section>
      <ControllerPlaces slug={slug} role={shell.role} />
    </Page>
  );
}

function NoMeeting({ shell, slug }: { shell: Shell; slug: string }) {
  const open = (
    <ButtonLink kind="primary" href={urls.inClub(slug, 'meetings/new')}>
      {t.open}
    </ButtonLink>
  );
  return (
    <Page shell={shell} title={t.title} heading={t.title}>
      {shell.role === 'director' ? (
        <EmptyState title={t.noneTitle} action={open}>
          {t.none}
        </EmptyState>
      ) : (
        <EmptyState title={t.noneTitle}>{t.noneForVisitors}</EmptyState>
      )}
      <ControllerPlaces slug={slug} role={shell.role} />
    </Page>
  );
}

/** Whether a heat still has to be run. */
const isAhead = (heat: StagedHeat) => heat.stage === 'planned' || heat.stage === 'armed';
/** Heats that count for the progress of the night. */
const counted = (heats: readonly StagedHeat[]) => heats.filter((heat) => heat.stage !== 'void');

/** What the director does, in order: race, people, draw, run. */
function ToDo({ slug, night: { meeting, races, entries, heats } }: { slug: string; night: Night }) {
  const to = (path: string) => urls.meeting(slug, meeting.id, path);
  const inRace = (race: Race | undefined, path: string) => (race ? urls.race(slug, meeting.id, race.id, path) : to(''));
  const empty = races.find((race) => !entries.some((entry) => entry.raceId === race.id));
  const undrawn = races.find((race) => !heats.some((heat) => heat.raceId === race.id));
  const all = counted(heats).length;
  const run = heats.filter((heat) => heat.stage === 'run').length;
  const steps = [
    {
      done: races.length > 0,
      label: t.steps.race,
      href: races.length > 0 ? to('') : to('races/new'),
      detail: t.steps.raceDetail,
    },
    {
      done: entries.length > 0 && !empty,
      label: t.steps.people,
      href: inRace(empty ?? races[0], 'entries'),
      detail: t.steps.peopleDetail(entries.length),
    },
    {
      done: heats.length > 0 && !undrawn,
      label: t.steps.draw,
      href: inRace(undrawn ?? races[0], 'rotation'),
      detail: t.steps.drawDetail(all),
    },
    { done: all > 0 && run === all, label: t.steps.run, href: to('control'), detail: t.steps.runDetail(run, all) },
  ];
  const now = steps.findIndex((step) => !step.done);
  return (
    <Section title={t.doTitle} id="to-do">
      <Steps
        items={steps.map(({ done, label, href, detail }, i) => ({
          label: <a href={href}>{label}</a>,
          detail,
          state: done ? ('done' as const) : i === now ? ('now' as const) : ('later' as const),
        }))}
      />
    </Section>
  );
}

/** Where this person goes from here, most wanted first. */
function Places({ slug, meeting, role }: { slug: string; meeting: Meeting; role: Role | null }) {
  const to = (path: string) => urls.meeting(slug, meeting.id, path);
  const all = {
    me: [to('me'), t.me, t.meHint],
    control: [to('control'), t.control, t.controlHint],
    timekeeper: [to('timekeeper'), t.timekeeper, t.timekeeperHint],
    meeting: [to(''), t.meeting, t.meetingHint],
    wall: [to('wall'), t.wall, t.wallHint],
    programme: [to('programme'), t.programme, t.programmeHint],
    results: [to('results'), t.results, t.resultsHint],
    join: [urls.inClub(slug, 'join'), t.join, t.joinHint],
  } as const;
  const forRole = {
    director: ['control', 'meeting', 'timekeeper', 'wall', 'programme', 'results'],
    timekeeper: ['timekeeper', 'control', 'wall', 'programme', 'results'],
    driver: ['me', 'results', 'programme', 'wall'],
    visitor: ['results', ...(meeting.joinCode === null ? [] : (['join'] as const)), 'programme', 'wall'],
  } as const satisfies Record<Role | 'visitor', readonly (keyof typeof all)[]>;
  return (
    <Section title={t.goTitle}>
      <ul class="places">
        {forRole[role ?? 'visitor'].map((key) => {
          const [href, label, hint] = all[key];
          return (
            <li key={key}>
              <a href={href}>
                <span class="place-words">
                  {label}
                  <span class="place-hint">{hint}</span>
                </span>
              </a>
            </li>
          );
        })}
      </ul>
    </Section>
  );
}

function NextHeats({ night: { races, entries, heats, lanes } }: { night: Night }) {
  if (heats.length === 0) return null;
  const run = heats.filter((heat) => heat.stage === 'run').length;
  const next = heats.filter(isAhead).slice(0, 2);
  const nameOf = new Map(entries.map((entry) => [entry.id, entry.nickname]));
  const raceOf = (heat: StagedHeat) => races.find((race) => race.id === heat.raceId)?.name ?? '';
  return (
    <Section title={t.nextTitle} aside={t.progress(run, counted(heats).length)}>
      {next.length === 0 ? <p>{t.allRun}</p> : null}
      <Cards>
        {next.map((heat) => (
          <Card
            key={idField(heat.id)}
            title={
              <bdi>{races.length > 1 ? t.heatOf(heat.ordinal, raceOf(heat)) : rotation.heatName(heat.ordinal)}</bdi>
            }
          >
            <ul class="seat-list">
              {lanes.map((lane) => {
                const id = heat.lanes.find((one) => one.lane === lane.number)?.entryId;
                return id === undefined ? null : (
                  <li key={lane.number}>
                    <LaneMark lane={lane} size="s" />
                    <bdi>{nameOf.get(id)}</bdi>
                  </li>
                );
              })}
            </ul>
            {heat.marshals.length === 0 ? null : (
              <p>{t.marshals(heat.marshals.map((id) => nameOf.get(id) ?? '').join(', '))}</p>
            )}
          </Card>
        ))}
      </Cards>
    </Section>
  );
}

interface ResultsListPageProps {
  shell: Shell;
  slug: string;
  /** The latest first. */
  meetings: readonly Meeting[];
}

/** All meetings by year, each leading to its results. */
export function ResultsListPage({ shell, slug, meetings: list }: ResultsListPageProps) {
  const words = meetings.results;
  const years = [...new Set(list.map((meeting) => meeting.date.slice(0, 4)))];
  return (
    <Page shell={shell} title={words.title} heading={words.title}>
      {list.length === 0 ? <EmptyState title={words.none} /> : null}
      {years.map((year) => (
        <Section key={year} title={year}>
          <MeetingTable
            rows={list.filter((meeting) => meeting.date.startsWith(year))}
            caption={words.caption(year)}
            lang={shell.lang}
            hrefOf={(meeting) => urls.meeting(slug, meeting.id, 'results')}
          />
        </Section>
      ))}
    </Page>
  );
}
