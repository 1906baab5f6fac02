import type { MeetingNow } from '../server/night/meeting-now.ts';
import type { PackLane } from '../server/night/pack.ts';
import type { WallHeat, WallNext as WallNextHeat, WallView } from '../server/night/wall-view.ts';
import { LiveStream } from './components/live-stream.tsx';
import { Pack, type PackRow } from './components/pack.tsx';
import { QrCode } from './components/qr-code.tsx';
import { WallHeader, WallNext } from './components/wall.tsx';
import { lapTime, ordinal, raceScore, timeGap, timeOfDay } from './format.ts';
import { laneLook } from './lane-look.ts';
import { Page, type Shell } from './layout.tsx';
import { common } from './texts/en/common.ts';
import { wall as t } from './texts/en/wall.ts';
import { urls } from './urls.ts';

export interface WallProps {
  slug: string;
  /** Scheme and host under which phones reach this server, for codes to scan. */
  origin: string;
  now: MeetingNow;
  wall: WallView;
}

interface WallPageProps extends WallProps {
  shell: Shell;
  /** Address of the style sheet that fits the screen. */
  sizeSheet: string;
}

/** The screen for everyone: who leads, and what comes next. */
export function WallPage({ shell, sizeSheet, ...props }: WallPageProps) {
  const { slug, now } = props;
  return (
    <Page shell={shell} title={t.title} kind="wall" styles={[sizeSheet]} scripts={['move.js']}>
      <LiveStream href={urls.meeting(slug, now.meeting.id, 'live/wall')} always />
      <WallBoard {...props} />
    </Page>
  );
}

/** The wall in a live frame. */
export function WallFrame(props: WallProps) {
  return (
    <hx-partial hx-target="#wall" hx-swap="outerMorph">
      <WallBoard {...props} />
    </hx-partial>
  );
}

/** From this many lanes on the size of the type leaves no room for the next heat beneath the race. */
const lanesThatFillTheScreen = 5;

function WallBoard(props: WallProps) {
  const { heat, next } = props.wall;
  if (!heat) return <Between {...props} />;
  const { now } = props;
  const rows = heat.pack.map((lane) => packRow(now, heat, lane));
  return (
    <div id="wall" class="wall">
      <WallHeader
        title={t.heat(raceName(now, heat), heat.number, heat.of)}
        state={heat.void ? 'void' : heat.phase}
        clock={heat.clock ?? undefined}
        laps={heat.laps ?? undefined}
      />
      <Pack rows={rows} caption={t.packCaption} />
      {next && rows.length < lanesThatFillTheScreen ? <NextHeat {...props} next={next} /> : null}
      <Announcements {...props} heat={heat} />
    </div>
  );
}

/** A meeting with one race need not say which. */
function raceName(now: MeetingNow, { race }: { race: { name: string } }): string | null {
  return now.races.length > 1 ? race.name : null;
}

function lookOf(now: MeetingNow, number: number) {
  const lane = now.lanes.find((one) => one.number === number);
  return lane ? laneLook(lane) : { number, colour: '#999999', pattern: 'solid' as const };
}

function packRow(now: MeetingNow, heat: WallHeat, line: PackLane): PackRow {
  const { summary, startsAtUs, gapLaps, deltaUs } = line;
  const counts = heat.phase !== 'armed' && heat.phase !== 'countdown';
  return {
    key: `lane-${line.lane}`,
    lane: lookOf(now, line.lane),
    name: line.entry.nickname,
    place: line.place === null ? null : ordinal(line.place),
    gapLaps,
    gap: gapLaps === null || gapLaps === 0 ? null : t.gap((Math.floor(gapLaps * 10) / 10).toFixed(1)),
    laps: counts ? lapsShown(heat, line) : '',
    last: summary.lastLapUs === null ? null : lapTime(summary.lastLapUs, 2),
    delta: deltaUs === null ? null : timeGap(deltaUs, 2),
    inRace: line.racePlace === null ? null : ordinal(line.racePlace),
    startsIn: startsAtUs === null ? undefined : startsIn(startsAtUs, now.nowUs),
    word: wordOf(line),
  };
}

/** Laps while cars run; with the part lap, as far as there is one, when the heat is over. */
function lapsShown(heat: WallHeat, { summary }: PackLane): string {
  const over = heat.phase === 'ended' || heat.phase === 'confirmed';
  return over && heat.race.format !== 'laps' && summary.score !== null && summary.score % 100 !== 0
    ? raceScore('time', summary.score)
    : String(summary.laps);
}

function wordOf({ summary }: PackLane): string | null {
  if (summary.excluded) return t.excluded;
  if (summary.standing === 'retired') return t.retired;
  return null;
}

function startsIn(startsAtUs: number, nowUs: number) {
  return { atUs: nowUs, leftUs: startsAtUs - nowUs, elapsedUs: 0, totalUs: null, running: true };
}

function NextHeat({ now, next, full }: WallProps & { next: WallNextHeat; full?: boolean }) {
  const about = next.startsAtUs === null ? null : t.nextAt(timeOfDay(new Date(next.startsAtUs / 1000), placeOf(now)));
  const title = t.next(raceName(now, next), next.number);
  return (
    <WallNext
      title={about === null ? title : `${title}, ${about}`}
      lanes={next.lanes.map(({ lane, entry }) => ({ lane: lookOf(now, lane), name: entry.nickname }))}
      marshals={{ label: t.marshals, posts: next.marshals.map(({ nickname }) => nickname) }}
      full={full}
    />
  );
}

function placeOf({ meeting }: MeetingNow) {
  return { zone: meeting.zone, locale: 'en-GB' };
}

/** What is read aloud: a digest now and then, and each change of the heat's state. */
function Announcements({ heat }: WallProps & { heat: WallHeat }) {
  const [leader, second] = heat.pack;
  const digest = leader?.place
    ? t.digest({
        lap: leader.summary.laps,
        of: heat.laps?.of ?? null,
        lane: leader.lane,
        leader: leader.entry.nickname,
        gap: second?.gapLaps ? second.gapLaps.toFixed(1) : null,
      })
    : null;
  const state = common.heatState[heat.void ? 'void' : heat.phase];
  return (
    <>
      {digest ? (
        <p hidden data-digest>
          {digest}
        </p>
      ) : null}
      <p hidden data-alert={`${heat.heat.id}:${heat.phase}`}>
        {t.alert(heat.number, state)}
      </p>
    </>
  );
}

/** Between two heats there is room: who drives next, how the race stands, how to join. */
function Between(props: WallProps) {
  const { now, wall, origin, slug } = props;
  const { meeting } = now;
  const join = meeting.joinCode === null ? null : { title: t.joinTitle, path: urls.join(meeting.joinCode) };
  const results = meeting.published ? { title: t.resultsTitle, path: urls.publicResults(meeting.publicCode) } : null;
  const code = wall.next ? (join ?? results) : (results ?? join);
  return (
    <div id="wall" class="wall">
      <header class="wall-header" id="wall-header">
        <h1>
          <bdi>{meeting.name}</bdi>
        </h1>
      </header>
      <div class="wall-between">
        <div class="wall-main">
          {wall.next ? (
            <NextHeat {...props} next={wall.next} full />
          ) : (
            <p class="wall-word">{wall.standing ? t.allRun : t.welcome}</p>
          )}
        </div>
        <div class="wall-side">
          {wall.standing ? <Standing {...wall.standing} /> : null}
          {code ? (
            <section class="wall-join">
              <h2>{code.title}</h2>
              <QrCode
                address={origin + code.path}
                code={code === join ? (meeting.joinCode ?? undefined) : undefined}
                size="l"
              />
            </section>
          ) : null}
        </div>
      </div>
      <p hidden data-alert={`between:${wall.next?.heat.id ?? slug}`}>
        {wall.next ? t.next(raceName(now, wall.next), wall.next.number) : t.allRun}
      </p>
    </div>
  );
}

/** As many rows as can be read. */
const standingRows = 8;

function Standing({ race, interim, over }: NonNullable<WallView['standing']>) {
  const { least, most } = interim.heats;
  const kind = race.format === 'laps' ? 'laps' : 'time';
  const byMean = kind === 'time' && least !== most;
  const shown = interim.rows.slice(0, standingRows);
  return (
    <section class="wall-standing">
      <h2>{t.standing(race.name, over)}</h2>
      <p class="wall-standing-after">{least === most ? t.afterEqual(most) : t.afterUneven(least, most)}</p>
      <ol>
        {shown.map((row) => (
          <li key={row.entry} id={`standing-${row.entry}`}>
            <span class="figure">{ordinal(row.position)}</span>
            <bdi class="wall-name">{row.nickname}</bdi>
            <span class="figure">{raceScore(kind, byMean ? row.meanScore : row.score)}</span>
          </li>
        ))}
      </ol>
      {interim.rows.length > standingRows ? <p>{t.moreRows(interim.rows.length - standingRows)}</p> : null}
    </section>
  );
}
