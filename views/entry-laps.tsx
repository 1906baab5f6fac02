import type { HeatReport, RaceReport } from '../server/results/report.ts';
import type { RaceRow } from '../server/results/standing.ts';
import { BigFigure, Section } from './components/content.tsx';
import { LaneMark } from './components/lane-mark.tsx';
import { SpreadPlot } from './components/spread-plot.tsx';
import { StateMark } from './components/state-mark.tsx';
import { ordinal, raceScore } from './format.ts';
import { LapTable } from './lap-table.tsx';
import { Page, type Shell } from './layout.tsx';
import { scoreWords, unfinishedWords } from './result-words.ts';
import type { ResultsData } from './results.tsx';
import { results as t } from './texts/en/results.ts';

type EntryPageProps = Pick<ResultsData, 'meeting' | 'lookOf' | 'links'> & {
  shell: Shell;
  race: RaceReport;
  row: RaceRow;
};

/** Every lap of one driver in one race, heat by heat. */
export function EntryPage(props: EntryPageProps) {
  const { shell, meeting, race, row, links } = props;
  const title = t.entry.title(row.nickname);
  const heats = race.heats.filter(({ result }) => result.some(({ entry }) => entry === row.entry));
  const spreads = race.spreads.filter(({ entry }) => entry === row.entry);
  return (
    <Page
      shell={shell}
      title={title}
      above={
        <>
          <a href={links.results}>{meeting.name}</a>, <bdi>{race.race.name}</bdi>
        </>
      }
      heading={<bdi>{title}</bdi>}
      kind="wide"
    >
      {row.heats.length === 0 ? <p>{t.entry.noHeat}</p> : <Summary race={race} row={row} />}
      {spreads.length > 0 ? (
        <SpreadPlot
          id="spread"
          title={t.entry.plot}
          description={t.spread.text}
          rows={spreads.map((spread) => ({ ...spread, key: spread.entry, name: row.nickname }))}
        />
      ) : null}
      {heats.map((heat) => (
        <EntryHeat key={heat.heat.id} {...props} heat={heat} />
      ))}
      <p class="results-hint">{t.laps.flagsHint}</p>
    </Page>
  );
}

function Summary({ race, row }: Pick<EntryPageProps, 'race' | 'row'>) {
  const kind = race.race.format.kind;
  const label = row.score === null ? unfinishedWords(row) : scoreWords(kind, row.score);
  return <BigFigure value={ordinal(row.place)} label={row.excluded ? t.standing.excluded : label} />;
}

function EntryHeat({ heat, race, row, lookOf, links }: EntryPageProps & { heat: HeatReport }) {
  const own = heat.result.find(({ entry }) => entry === row.entry);
  const lane = heat.state.lanes.find(({ rules }) => rules.entry === row.entry);
  if (own === undefined || lane === undefined) return null;
  return (
    <Section
      title={<a href={links.heat(heat.heat.id)}>{t.heats.heat(heat.number)}</a>}
      aside={
        <>
          <LaneMark lane={lookOf(own.lane)} /> <StateMark state={heat.stage} />{' '}
          {heat.stage === 'planned' ? null : (
            <strong class="figure">{raceScore(race.race.format.kind, own.score)}</strong>
          )}
        </>
      }
    >
      {heat.stage === 'planned' ? null : own.byHand ? (
        <p>{t.laps.byHand}</p>
      ) : (
        <LapTable caption={t.heats.heat(heat.number)} laps={lane.laps.toArray()} fastestUs={own.fastestUs} />
      )}
    </Section>
  );
}
