import type { Card, CardLap, Duty, Moment } from '../server/night/card-view.ts';
import type { DialIn } from '../server/night/dial-in.ts';
import type { MeetingNow } from '../server/night/meeting-now.ts';
import { CardDialIn } from './card-dial-in.tsx';
import { ButtonLink, ButtonRow } from './components/button.tsx';
import { EmptyState, Section } from './components/content.tsx';
import { DataTable } from './components/data-table.tsx';
import { LaneMark } from './components/lane-mark.tsx';
import { LiveStream } from './components/live-stream.tsx';
import { Timeline, type TimelineItem } from './components/timeline.tsx';
import { lapTime, ordinal, raceScore, timeGap, timeOfDay } from './format.ts';
import { givenWords } from './handicap-words.ts';
import { Page, type Shell } from './layout.tsx';
import { lookOf } from './night-lanes.ts';
import { card as t } from './texts/en/card.ts';
import { urls } from './urls.ts';

export interface CardProps {
  slug: string;
  now: MeetingNow;
  card: Card;
  /** The reader is the driver: the page may say "you" and offer what only drivers may change. */
  own: boolean;
  /** What to dial in; null for a reader who may not see it. */
  dialIn: { driverId: string; dialIn: DialIn | 'none' | null } | null;
}

interface CardPageProps extends CardProps {
  shell: Shell;
  nickname: string;
  /** The page's stream. */
  stream: string;
}

/** A driver's night on a phone: when am I up, on which lane, where do I marshal; then my laps. */
export function CardPage({ shell, nickname, stream, ...props }: CardPageProps) {
  const { slug, now, own } = props;
  const title = own ? t.title : t.titleOf(nickname);
  return (
    <Page
      shell={shell}
      title={title}
      above={
        <a href={urls.meeting(slug, now.meeting.id, 'programme')}>
          <bdi>{now.meeting.name}</bdi>
        </a>
      }
      heading={<bdi>{nickname}</bdi>}
    >
      <LiveStream href={stream} />
      <CardBoard {...props} />
    </Page>
  );
}

/** The card in a live frame. */
export function CardFrame(props: CardProps) {
  return (
    <hx-partial hx-target="#card" hx-swap="outerMorph">
      <CardBoard {...props} />
    </hx-partial>
  );
}

function CardBoard(props: CardProps) {
  const { slug, now, card, own, dialIn } = props;
  const meeting = now.meeting.id;
  const entered = card.entries.length > 0;
  return (
    <div id="card" class="night-card">
      {entered ? <Up {...props} /> : null}
      {dialIn === null ? null : <CardDialIn slug={slug} {...dialIn} />}
      {!entered && own ? (
        <EmptyState
          title={t.notEntered}
          action={<ButtonLink href={urls.meeting(slug, meeting, 'me/edit')}>{t.enter}</ButtonLink>}
        />
      ) : null}
      {card.places.map(({ race, position, of, heats }) => (
        <p key={race} class="night-place">
          {t.place(race, ordinal(position), of, heats)}
        </p>
      ))}
      {card.line.length > 0 && entered ? (
        <Section title={t.line} id="night-line">
          <Timeline id="night" items={card.line.map((moment) => timelineItem(now, moment))} />
        </Section>
      ) : null}
      {card.laps ? <Laps now={now} laps={card.laps} /> : null}
      <ButtonRow>
        <ButtonLink href={urls.meeting(slug, meeting, 'results')}>{t.results}</ButtonLink>
        {own && entered ? <ButtonLink href={urls.meeting(slug, meeting, 'me/edit')}>{t.change}</ButtonLink> : null}
      </ButtonRow>
    </div>
  );
}

/** A meeting with one race need not say which. */
function heatWords(now: MeetingNow, { race, number }: { race: { name: string }; number: number }): string {
  return t.heat(now.races.length > 1 ? race.name : null, number);
}

function clock(now: MeetingNow, us: number): string {
  return timeOfDay(new Date(us / 1000), { zone: now.meeting.zone, locale: 'en-GB' });
}

/** First and large: what the driver does now, and when the next turn comes. */
function Up({ now, card, own }: CardProps) {
  const { nextDrive, nextMarshal } = card;
  if (card.line.length === 0) return <p class="night-up-none">{t.notDrawn}</p>;
  return (
    <div class="night-up">
      {card.now ? <NowDuty now={now} duty={card.now} own={own} /> : null}
      {nextDrive ? <NextDuty now={now} duty={nextDrive} own={own} /> : <p class="night-up-none">{t.noneToDrive}</p>}
      {nextMarshal ? <NextDuty now={now} duty={nextMarshal} own={own} /> : null}
    </div>
  );
}

interface DutyProps {
  now: MeetingNow;
  duty: Duty;
  own: boolean;
}

function NowDuty({ now, duty, own }: DutyProps) {
  const say = own ? t.you : t.they;
  const words = duty.kind === 'drive' ? say.driveNow(duty.place) : say.marshalNow(duty.place);
  return (
    <div class="night-duty night-duty-now" id="duty-now">
      <p class="night-duty-what">
        {duty.kind === 'drive' ? <LaneMark lane={lookOf(now, duty.place)} size="l" decorative /> : null}
        <strong>{words}</strong>
      </p>
      <p>{heatWords(now, duty)}</p>
      <Given duty={duty} />
      <p hidden data-alert={`${duty.heat.id}:${duty.kind}`}>
        {words}
      </p>
    </div>
  );
}

function NextDuty({ now, duty, own }: DutyProps) {
  const say = own ? t.you : t.they;
  const drives = duty.kind === 'drive';
  return (
    <div class={drives ? 'night-duty' : 'night-duty night-duty-marshal'} id={drives ? 'duty-drive' : 'duty-marshal'}>
      <p class="night-duty-when">
        {drives ? say.driveNext : say.marshalNext} {duty.before === null ? null : t.before(duty.before)}
      </p>
      <p class="night-duty-what">
        {drives ? <LaneMark lane={lookOf(now, duty.place)} size="l" decorative /> : null}
        <strong>
          {heatWords(now, duty)}, {drives ? t.lane(duty.place) : t.post(duty.place)}
        </strong>
      </p>
      <Given duty={duty} />
      {duty.startsAtUs === null ? null : <p class="figure">{t.about(clock(now, duty.startsAtUs))}</p>}
    </div>
  );
}

const givenIn = ({ handicap, race }: Duty) => handicap && givenWords(handicap, race.format);

/** What the driver is given in the heat, as everybody may know it. */
function Given({ duty }: { duty: Duty }) {
  const words = givenIn(duty);
  return words ? <p>{words}</p> : null;
}

function timelineItem(now: MeetingNow, moment: Moment): TimelineItem {
  if (moment.kind === 'rest') {
    const { from, to, startsAtUs, state } = moment;
    const race = now.races.length > 1 ? from.race.name : null;
    return {
      key: from.heat.id,
      time: startsAtUs === null ? '' : clock(now, startsAtUs),
      title: t.rest,
      detail: from.number === to.number ? t.heat(race, from.number) : t.heats(race, from.number, to.number),
      kind: 'rest',
      state,
    };
  }
  const { duty, state } = moment;
  const drives = duty.kind === 'drive';
  const heat = heatWords(now, duty);
  return {
    key: duty.heat.id,
    time: duty.startsAtUs === null ? '' : clock(now, duty.startsAtUs),
    title: (
      <>
        {drives ? <LaneMark lane={lookOf(now, duty.place)} size="s" decorative /> : null}{' '}
        {drives ? t.drive(duty.place) : t.marshal(duty.place)}
      </>
    ),
    detail: duty.result ? `${heat}: ${resultWords(duty)}` : [heat, givenIn(duty)].filter(Boolean).join(', '),
    kind: duty.kind,
    state,
  };
}

function resultWords({ race, result }: Duty): string {
  if (!result) return '';
  const best = result.bestUs === null ? null : lapTime(result.bestUs, 2);
  if (race.format === 'laps')
    return t.result(result.score === null ? t.laps(result.laps) : raceScore('laps', result.score), best);
  const whole = result.score === null || result.score === result.laps * 100;
  return t.result(whole ? t.laps(result.laps) : t.lapsScore(raceScore('time', result.score)), best);
}

function Laps({ now, laps }: { now: MeetingNow; laps: NonNullable<Card['laps']> }) {
  const { heat, lane, paceUs, running } = laps;
  const [last] = laps.laps;
  const title = t.lapsOf(heatWords(now, heat), lane);
  return (
    <Section title={title} id="night-laps">
      {paceUs === null ? null : <p>{t.usual(lapTime(paceUs, 2))}</p>}
      <DataTable
        id="own-laps"
        caption={title}
        captionHidden
        dense
        rows={laps.laps}
        rowKey={({ n }) => n}
        empty={t.noLaps}
        columns={[
          { key: 'n', head: t.lapNumber, cell: ({ n }: CardLap) => n, numeric: true, rowHead: true },
          { key: 'time', head: t.lapTime, cell: ({ durationUs }) => lapTime(durationUs, 2), numeric: true },
          {
            key: 'delta',
            head: t.lapDelta,
            cell: ({ durationUs }) => (paceUs === null ? '' : timeGap(durationUs - paceUs, 2)),
            numeric: true,
          },
          { key: 'note', head: t.lapNote, cell: ({ best, clean }) => (best ? t.best : clean ? '' : t.unclean) },
        ]}
      />
      {running && last ? (
        <p hidden data-digest data-digest-for="mine">
          {t.digest(last.n, lapTime(last.durationUs, 2))}
        </p>
      ) : null}
    </Section>
  );
}
