import type { Entry, Meeting, Race } from '../server/meetings/store.ts';
import type { HeatBlock } from '../server/rotation/heat-groups.ts';
import type { StagedHeat } from '../server/rotation/store.ts';
import { type CardMoment, cardMoments } from './card-moments.ts';
import { Breadcrumbs, Card, Cards, EmptyState, PrintHint, Section } from './components/content.tsx';
import { MarshalMark } from './components/duty-mark.tsx';
import { defaultLook, type LaneLook } from './components/lane-defaults.ts';
import { LaneMark } from './components/lane-mark.tsx';
import { percent } from './format.ts';
import { Page, type Shell } from './layout.tsx';
import { MeetingLine } from './meetings.tsx';
import { HeatGrid } from './rotation-pictures.tsx';
import { meetings } from './texts/en/meetings.ts';
import { places } from './texts/en/places.ts';
import { rotation as t } from './texts/en/rotation.ts';
import { rotationPictures } from './texts/en/rotation-pictures.ts';
import { idField, urls } from './urls.ts';

const cards = rotationPictures.cards;

interface ProgrammePageProps {
  shell: Shell;
  slug: string;
  meeting: Meeting;
  /** Each with its heats in neighbours of one group. */
  races: readonly (Race & { blocks: readonly HeatBlock<StagedHeat>[] })[];
  /** Of all races, in the order of sign-up. */
  entries: readonly Entry[];
  /** Of all races, in the order in which they are run. */
  heats: readonly StagedHeat[];
  lanes: readonly LaneLook[];
}

/** The night on paper: every race's heats, then a card for each driver. */
export function ProgrammePage({ shell, slug, meeting, races, entries, heats, lanes }: ProgrammePageProps) {
  const drawn = races.filter((race) => heats.some((heat) => heat.raceId === race.id));
  return (
    <Page
      shell={shell}
      title={t.night.title}
      heading={<bdi>{meeting.name}</bdi>}
      kind="wide"
      above={
        <>
          <Breadcrumbs items={[{ href: urls.club(slug), label: places.tonight }]} />
          <MeetingLine meeting={meeting} lang={shell.lang} />
        </>
      }
    >
      {drawn.length === 0 ? <EmptyState title={t.night.none} /> : <PrintHint />}
      {drawn.map((race) => (
        <Section key={race.id} title={<bdi>{race.name}</bdi>} id={`race-${idField(race.id)}`}>
          {race.driveLimit === null ? null : <p>{meetings.race.limit(percent(race.driveLimit))}</p>}
          <HeatGrid
            id={`rotation-${idField(race.id)}`}
            caption={t.caption(race.name)}
            blocks={race.blocks}
            lanes={lanes}
            everybody={entries}
            path={null}
            hrefOf={null}
          />
        </Section>
      ))}
      {drawn.length === 0 ? null : (
        <DriverCards
          entries={entries}
          heats={heats}
          races={drawn}
          lanes={lanes}
          hrefOf={(entry) => urls.card(slug, meeting.id, entry)}
        />
      )}
    </Page>
  );
}

type DriverCardsProps = Pick<ProgrammePageProps, 'entries' | 'heats' | 'races' | 'lanes'> & {
  /** The card that follows the evening, on a screen. */
  hrefOf: (entryId: string) => string;
};

/** One card for each driver, over all races: what to do in which heat, and how long to rest in between. */
function DriverCards({ entries, heats, races, lanes, hrefOf }: DriverCardsProps) {
  const drivers = [...new Map(entries.map((entry) => [entry.driverId, entry.nickname]))];
  const raceName = (id: string) => (races.length > 1 ? (races.find((race) => race.id === id)?.name ?? null) : null);
  const lookOf = (number: number) => lanes.find((lane) => lane.number === number) ?? defaultLook(number);
  return (
    <section class="section cards-page">
      <h2>{t.night.cardsTitle}</h2>
      <p class="no-print">{t.night.cardsHint}</p>
      <Cards>
        {drivers.map(([driverId, nickname]) => {
          const own = entries.filter((entry) => entry.driverId === driverId).map((entry) => entry.id);
          const moments = cardMoments(heats, own);
          return (
            <Card
              key={driverId}
              title={
                <a class="card-link" href={hrefOf(own[0] ?? '')}>
                  <bdi>{nickname}</bdi>
                </a>
              }
              aside={<span class="card-sum">{cards.sum(count(moments, 'drive'), count(moments, 'marshal'))}</span>}
            >
              {moments.length === 0 ? <p>{t.night.idle}</p> : null}
              <ol class="card-moments">
                {moments.map((moment) => (
                  <Moment
                    key={moment.kind === 'rest' ? `rest-${moment.before}` : idField(moment.heat.id)}
                    moment={moment}
                    lookOf={lookOf}
                    raceName={raceName}
                  />
                ))}
              </ol>
            </Card>
          );
        })}
      </Cards>
    </section>
  );
}

const count = (moments: readonly CardMoment[], kind: CardMoment['kind']) =>
  moments.filter((moment) => moment.kind === kind).length;

interface MomentProps {
  moment: CardMoment;
  lookOf: (lane: number) => LaneLook;
  raceName: (raceId: string) => string | null;
}

function Moment({ moment, lookOf, raceName }: MomentProps) {
  if (moment.kind === 'rest') return <li class="card-rest">{cards.rest(moment.heats)}</li>;
  const { heat } = moment;
  return (
    <li>
      <span class="figure">{t.heatName(heat.ordinal)}</span>
      {moment.kind === 'drive' ? <LaneMark lane={lookOf(moment.lane)} size="s" decorative /> : <MarshalMark />}
      <bdi>
        {moment.kind === 'drive'
          ? t.night.drives(moment.lane, raceName(heat.raceId))
          : cards.marshals(moment.post, raceName(heat.raceId))}
      </bdi>
      {moment.kind === 'drive' ? <span class="card-laps">{cards.laps}</span> : null}
    </li>
  );
}
