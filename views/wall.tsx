import type { MeetingNow } from '../server/night/meeting-now.ts';
import type { PackLane } from '../server/night/pack.ts';
import type { WallHeat, WallNext as WallNextHeat, WallView } from '../server/night/wall-view.ts';
import { LiveStream } from './components/live-stream.tsx';
import { Pack, type PackRow } from './components/pack.tsx';
import { QrCode } from './components/qr-code.tsx';
import { WallHeader, WallNext } from './components/wall.tsx';
import { lapTime, ordinal, raceScore, timeGap, timeOfDay } from './format.ts';
import { givenShort, givenWords } from './handicap-words.ts';
import { Page, type Shell } from './layout.tsx';
import { lookOf } from './night-lanes.ts';
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
      <a class="wall-set-up" href={urls.meeting(slug, now.meeting.id, 'wall/setup')}>
        {t.setup.link}
      </a>
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
      {next && rows.length < lanesThatFillTheScreen ? <NextHeat now={now} next={next} /> : null}
      <Announcements {...props} heat={heat} />
    </div>
  );
}

/** A meeting with one race need not say which. */
function raceName(now: MeetingNow, { race }: { race: { name: string } }): string | null {
  return now.races.length > 1 ? race.name : null;
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
    gap: gapLaps === null || gapLaps === 0 ? null : t.gap(lapsBehind(gapLaps)),
    laps: counts ? lapsShown(heat, line) : '',
    last: summary.lastLapUs === null ? null : lapTime(summary.lastLapUs, 2),
    delta: deltaUs === null ? null : timeGap(deltaUs, 2),
    inRace: line.racePlace === null ? null : ordinal(line.racePlace),
    startsIn: startsAtUs === null ? undefined : startsIn(startsAtUs, now.nowUs),
    word: wordOf(line) ?? handicapWord(heat, line),
  };
}

/** Tenths of a lap, cut; whole laps from ten on, where nobody counts tenths. */
function lapsBehind(gapLaps: number): string {
  return gapLaps < 10 ? (Math.floor(gapLaps * 10) / 10).toFixed(1) : String(Math.floor(gapLaps));
}

/** Laps while cars run; with the part lap, as far as there is one, when the heat is over. */
function lapsShown(heat: WallHeat, { summary }: PackLane): string {
  // A part lap, or laps that were credited, also while cars run.
  const { score } = summary;
  return heat.race.format !== 'laps' && score !== null && score !== 100 * summary.laps && !summary.excluded
    ? raceScore('time', score)
    : String(summary.laps);
}

function wordOf({ summary }: PackLane): string | null {
  if (summary.excluded) return t.excluded;
  if (summary.standing === 'retired') return t.retired;
  return null;
}

/** Until the start: what the lane is given. */
function handicapWord(heat: WallHeat, { lane }: PackLane): string | null {
  const given = heat.handicaps.get(lane);
  return given ? givenWords(given, heat.race.format) : null;
}

function startsIn(startsAtUs: number, nowUs: number) {
  return { atUs: nowUs, leftUs: startsAtUs - nowUs, elapsedUs: 0, totalUs: null, running: true };
}

/** "Next: heat 4, about 20:40". */
function nextTitle(now: MeetingNow, next: WallNextHeat): string {
  const title = t.next(raceName(now, next), next.number);
  if (next.startsAtUs === null) return title;
  return `${title}, ${t.nextAt(timeOfDay(new Date(next.startsAtUs / 1000), placeOf(now)))}`;
}

function NextHeat({ now, next, full }: { now: MeetingNow; next: WallNextHeat; full?: boolean }) {
  return (
    <WallNext
      // Between heats the header says it.
      title={full ? null : nextTitle(now, next)}
      lanes={next.lanes.map(({ lane, entry, handicap }) => ({
        lane: lookOf(now, lane),
        name: entry.nickname,
        note: handicap && givenShort(handicap, next.race.format),
      }))}
      marshals={{ label: t.marshals, posts: next.marshals.map(({ nickname }, i) => t.post(i + 1, nickname)) }}
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
        gap: second?.gapLaps ? lapsBehind(second.gapLaps) : null,
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
function Between({ now, wall, origin }: WallProps) {
  const { meeting } = now;
  const { next, standing } = wall;
  const title = next ? nextTitle(now, next) : standing ? t.allRun : meeting.name;
  const many = (next?.lanes.length ?? 0) >= lanesThatFillTheScreen;
  const room = many ? ' wall-many' : !standing ? ' wall-first' : next ? '' : ' wall-over';
  return (
    <div id="wall" class="wall">
      <WallHeader title={<bdi>{title}</bdi>} state={null} />
      <div class={`wall-between${room}`}>
        {next ? <NextHeat now={now} next={next} full /> : <p class="wall-word">{standing ? t.thanks : t.notDrawn}</p>}
        {standing ? <Standing {...standing} rows={many ? 4 : 7} /> : null}
        <Join meeting={meeting} origin={origin} over={next === null} />
      </div>
      <p hidden data-alert={`between:${next?.heat.id ?? ''}`}>
        {title}
      </p>
    </div>
  );
}

/** A code to scan: to join while heats are to come, for the results when all are run. */
function Join({ meeting, origin, over }: { meeting: MeetingNow['meeting']; origin: string; over: boolean }) {
  const { joinCode, published, publicCode } = meeting;
  if (published && (over || joinCode === null)) {
    return (
      <section class="wall-join">
        <h2>{t.resultsTitle}</h2>
        <QrCode address={origin + urls.publicResults(publicCode)} />
      </section>
    );
  }
  if (joinCode === null) return null;
  return (
    <section class="wall-join">
      <h2>{t.joinTitle}</h2>
      <QrCode address={origin + urls.join(joinCode)} code={joinCode} />
    </section>
  );
}

type StandingProps = NonNullable<WallView['standing']> & {
  /** As many as can be read. */
  rows: number;
};

function Standing({ race, interim, over, rows }: StandingProps) {
  const { least, most } = interim.heats;
  const kind = race.format === 'laps' ? 'laps' : 'time';
  const byMean = kind === 'time' && least !== most;
  return (
    <section class="wall-standing">
      <h2>{t.standing(race.name, over)}</h2>
      <p class="wall-standing-after">{least === most ? t.afterEqual(most) : t.afterUneven(least, most)}</p>
      <ol>
        {interim.rows.slice(0, rows).map((row) => (
          <li key={row.entry} id={`standing-${row.entry}`}>
            <span class="figure">{row.position === null ? '' : ordinal(row.position)}</span>
            <bdi class="wall-name">{row.nickname}</bdi>
            <span class="figure">{raceScore(kind, byMean ? row.meanScore : row.score)}</span>
          </li>
        ))}
      </ol>
      {interim.rows.length > rows ? <p class="wall-standing-after">{t.moreRows(interim.rows.length - rows)}</p> : null}
    </section>
  );
}
