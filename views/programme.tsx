import type { Entry, Meeting, Race } from '../server/meetings/store.ts';
import type { HeatBlock } from '../server/rotation/heat-groups.ts';
import type { StagedHeat } from '../server/rotation/store.ts';
import { Breadcrumbs, Card, Cards, EmptyState, PrintHint, Section } from './components/content.tsx';
import type { LaneLook } from './components/lane-defaults.ts';
import { LaneMark } from './components/lane-mark.tsx';
import { Page, type Shell } from './layout.tsx';
import { MeetingLine } from './meetings.tsx';
import { HeatGrid } from './rotation-pictures.tsx';
import { places } from './texts/en/places.ts';
import { rotation as t } from './texts/en/rotation.ts';
import { idField, urls } from './urls.ts';

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
        <Section key={race.id} title={<bdi>{race.name}</bdi>}>
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

/** One card for each driver, over all races: what to do in which heat. */
function DriverCards({ entries, heats, races, lanes, hrefOf }: DriverCardsProps) {
  const drivers = [...new Map(entries.map((entry) => [entry.driverId, entry.nickname]))];
  const raceName = (id: string) => (races.length > 1 ? (races.find((race) => race.id === id)?.name ?? null) : null);
  const cards = drivers.map(([driverId, nickname]) => {
    const own = new Set(entries.filter((entry) => entry.driverId === driverId).map((entry) => entry.id));
    const moments = heats.flatMap((heat) => {
      const drives = heat.lanes.find((lane) => own.has(lane.entryId));
      const marshals = heat.marshals.some((id) => own.has(id));
      return drives || marshals ? [{ heat, lane: drives?.lane ?? null }] : [];
    });
    return { driverId, nickname, moments, href: hrefOf([...own][0] ?? '') };
  });
  return (
    <section class="section cards-page">
      <h2>{t.night.cardsTitle}</h2>
      <p class="no-print">{t.night.cardsHint}</p>
      <Cards>
        {cards.map(({ driverId, nickname, moments, href }) => (
          <Card
            key={driverId}
            title={
              <a class="card-link" href={href}>
                <bdi>{nickname}</bdi>
              </a>
            }
          >
            {moments.length === 0 ? <p>{t.night.idle}</p> : null}
            <ul class="card-moments">
              {moments.map(({ heat, lane }) => (
                <Moment key={idField(heat.id)} heat={heat} look={lookOf(lanes, lane)} race={raceName(heat.raceId)} />
              ))}
            </ul>
          </Card>
        ))}
      </Cards>
    </section>
  );
}

const lookOf = (lanes: readonly LaneLook[], lane: number | null) => lanes.find((one) => one.number === lane) ?? null;

function Moment({ heat, look, race }: { heat: StagedHeat; look: LaneLook | null; race: string | null }) {
  return (
    <li>
      <span class="figure">{t.heatName(heat.ordinal)}</span>
      {look ? <LaneMark lane={look} size="s" decorative /> : null}
      <bdi>{look ? t.night.drives(look.number, race) : t.night.marshals(race)}</bdi>
    </li>
  );
}
