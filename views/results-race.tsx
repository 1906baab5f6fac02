import type { LaneTableRow } from '../server/results/lane-table.ts';
import type { RaceReport } from '../server/results/report.ts';
import type { RaceRow } from '../server/results/standing.ts';
import { type Column, DataTable } from './components/data-table.tsx';
import { LaneMark } from './components/lane-mark.tsx';
import { LapChart } from './components/lap-chart.tsx';
import { SpreadPlot } from './components/spread-plot.tsx';
import { isoDay, lapTime, raceScore } from './format.ts';
import { HeatList, RaceRulings } from './result-heats.tsx';
import {
  clockTime,
  dayWords,
  formatWords,
  headlineWords,
  stateWords,
  tieWords,
  unfinishedWords,
} from './result-words.ts';
import type { ResultsData } from './results.tsx';
import { results as t } from './texts/en/results.ts';

/** One race within the results of its meeting. */
export type RaceProps = ResultsData & {
  race: RaceReport;
  /** Its number on the page, from 1: ids of the page's parts begin with it. */
  index: number;
  lang: string;
};

/** One race: who won and why, pictures, then everything as tables. */
export function RaceResults(props: RaceProps) {
  const { race, index } = props;
  const begun = race.headline.kind !== 'not-begun';
  return (
    <section class="race-results" id={`race-${index}`} aria-labelledby={`race-${index}-title`}>
      <h2 id={`race-${index}-title`}>
        <bdi>{race.race.name}</bdi>
      </h2>
      <p class="results-headline">{headlineWords(race)}</p>
      <p class="results-state">
        {formatWords(race.race)} <strong>{stateWords(race)}</strong> <RevisionWords {...props} />
      </p>
      {begun ? (
        <div class="results-pictures">
          <RaceChart {...props} />
          <RaceSpread {...props} />
        </div>
      ) : null}
      {begun ? <Standing {...props} /> : null}
      {begun ? <Lanes {...props} /> : null}
      <HeatList {...props} />
      <RaceRulings {...props} />
    </section>
  );
}

function RaceSpread({ race, index, report }: RaceProps) {
  if (race.spreads.length === 0) return null;
  return (
    <SpreadPlot
      id={`spread-${index}`}
      title={t.spread.title}
      description={t.spread.text}
      rows={race.spreads.map((spread) => ({
        ...spread,
        key: spread.entry,
        name: report.names.get(spread.entry) ?? '',
      }))}
    />
  );
}

function RevisionWords({ race, revisions, meeting, lang }: RaceProps) {
  const revision = revisions.get(race.race.id);
  if (revision === undefined) return null;
  const { number, at } = revision;
  const time = clockTime(at, meeting.zone, lang);
  // Ruled on later, or imported: the time alone would be taken for the evening's.
  const day = isoDay(at, meeting.zone);
  return <>{t.state.revision(number, day === meeting.date ? time : `${dayWords(day, lang, 'short')}, ${time}`)}</>;
}

/** What a drawing holds; the tables have everybody. */
const mostLines = 16;

function RaceChart({ race, index, report }: RaceProps) {
  const { step, lines } = race.chart;
  const drawn = lines.filter(({ places }) => places.length > 0).slice(0, mostLines);
  const steps = Math.max(0, ...drawn.map(({ places }) => places.length));
  // One step is a dot a driver: the table says it better.
  if (steps < 2) return null;
  const texts =
    step === 'heat'
      ? { title: t.chart.heatTitle, text: t.chart.heatText(steps), step: t.chart.heatStep }
      : { title: t.chart.lapTitle, text: t.chart.lapText(steps), step: undefined };
  const hidden = lines.length - drawn.length;
  return (
    <LapChart
      id={`chart-${index}`}
      title={texts.title}
      description={hidden > 0 ? `${texts.text} ${t.chart.more(hidden)}` : texts.text}
      step={texts.step}
      lines={drawn.map(({ entry, places }, i) => ({
        key: entry,
        name: report.names.get(entry) ?? '',
        places,
        strong: i === 0,
      }))}
    />
  );
}

function Standing(props: RaceProps) {
  const { race, index, links, cars, withdrawn } = props;
  const { standing, counts, toRun } = race;
  const kind = race.race.format.kind;
  const words = t.standing;
  const notes = new Map(standing.rows.map((row, i) => [row.entry, remarks(race, row, i, withdrawn)]));
  const running = counts.most > 0 && toRun > 0;
  const columns: (Column<RaceRow> | false)[] = [
    { key: 'place', head: words.place, numeric: true, cell: ({ place }) => place },
    {
      key: 'driver',
      head: words.driver,
      rowHead: true,
      cell: ({ entry, nickname }) => (
        <a href={links.entry(entry)}>
          <bdi>{nickname}</bdi>
        </a>
      ),
    },
    {
      key: 'score',
      head: kind === 'time' ? words.scoreTime : words.scoreLaps,
      numeric: true,
      cell: ({ score }) => <strong>{raceScore(kind, score)}</strong>,
    },
    running && {
      key: 'mean',
      head: words.mean,
      numeric: true,
      cell: (_row, i) => raceScore(kind, race.means[i] ?? null),
    },
    { key: 'fastest', head: words.fastest, numeric: true, cell: ({ fastestUs }) => lapOrDash(fastestUs) },
    { key: 'laps', head: words.laps, numeric: true, cell: ({ laps }) => laps },
    { key: 'heats', head: words.heats, numeric: true, cell: ({ heats }) => heats.length },
    standing.rows.some(({ entry }) => cars.get(entry)) && {
      key: 'car',
      head: words.car,
      cell: ({ entry }) => <bdi>{cars.get(entry)}</bdi>,
    },
    [...notes.values()].some((note) => note !== '') && {
      key: 'notes',
      head: words.note,
      words: true,
      cell: ({ entry }) => <span class="result-note">{notes.get(entry)}</span>,
    },
  ];
  return (
    <div class="results-part">
      <h3>{words.title}</h3>
      {running ? <p>{words.after(counts.least, counts.most)}</p> : null}
      <DataTable
        caption={`${words.title}: ${race.race.name}`}
        captionHidden
        id={`standing-${index}`}
        columns={columns.filter((column) => column !== false)}
        rows={standing.rows}
        rowKey={({ entry }) => entry}
        empty={words.empty}
      />
    </div>
  );
}

/** What else is to be said of a row. */
function remarks({ standing, ties }: RaceReport, row: RaceRow, i: number, withdrawn: ReadonlySet<string>): string {
  const words = t.standing;
  const tie = ties[i];
  const next = standing.rows[i + 1]?.nickname ?? '';
  const notes = [
    row.excluded && words.excluded,
    row.heats.length === 0 && words.noHeat,
    row.heats.length > 0 && row.score === null && !row.excluded && unfinishedWords(row),
    row.missing > 0 && words.missing(row.missing),
    tie && (tie.by === 'shared' ? t.tie.shared(next) : t.tie.ahead(next, tieWords(tie))),
    withdrawn.has(row.entry) && words.withdrawn,
  ];
  return notes.filter(Boolean).join('; ');
}

function Lanes({ race, index, lookOf, links }: RaceProps) {
  const words = t.lanes;
  const kind = race.race.format.kind;
  const columns: Column<LaneTableRow>[] = race.lanes.map((lane, i) => ({
    key: String(lane),
    head: <LaneMark lane={lookOf(lane)} />,
    numeric: true,
    cell: ({ lanes }) => {
      const heats = lanes[i] ?? [];
      if (heats.length === 0) return words.none;
      return heats.map(({ heat, score, fastestUs }) => (
        <span class="lane-cell" key={heat}>
          {raceScore(kind, score)} <small>{lapOrDash(fastestUs)}</small>
        </span>
      ));
    },
  }));
  return (
    <div class="results-pair">
      <div class="results-part">
        <h3>{words.title}</h3>
        <DataTable
          caption={words.caption}
          captionHidden
          id={`lanes-${index}`}
          columns={[
            { key: 'driver', head: words.driver, rowHead: true, cell: ({ nickname }) => <bdi>{nickname}</bdi> },
            ...columns,
          ]}
          rows={race.laneTable}
          rowKey={({ entry }) => entry}
        />
      </div>
      <div class="results-part">
        <h3>{words.recordsTitle}</h3>
        <DataTable
          caption={words.recordsTitle}
          captionHidden
          id={`records-${index}`}
          columns={[
            { key: 'lane', head: words.lane, cell: ({ lane }) => <LaneMark lane={lookOf(lane)} /> },
            { key: 'driver', head: words.driver, rowHead: true, cell: ({ nickname }) => <bdi>{nickname}</bdi> },
            { key: 'time', head: words.time, numeric: true, cell: ({ fastestUs }) => lapTime(fastestUs) },
            {
              key: 'heat',
              head: words.heat,
              cell: ({ heat }) => <a href={links.heat(heat)}>{t.heats.heat(numberOf(race, heat))}</a>,
            },
          ]}
          rows={race.laneRecords}
          rowKey={({ lane }) => lane}
          empty={words.empty}
        />
      </div>
    </div>
  );
}

function numberOf({ heats }: RaceReport, id: string): number {
  return heats.find(({ heat }) => heat.id === id)?.number ?? 0;
}

function lapOrDash(us: number | null): string {
  return us === null ? t.lanes.none : lapTime(us);
}
