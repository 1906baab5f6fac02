import type { HeatResultRow } from '../server/results/heat-result.ts';
import type { HeatReport, RaceReport } from '../server/results/report.ts';
import { Section } from './components/content.tsx';
import { type Column, DataTable } from './components/data-table.tsx';
import { LaneMark } from './components/lane-mark.tsx';
import { LapChart } from './components/lap-chart.tsx';
import { Notice } from './components/notice.tsx';
import { StateMark } from './components/state-mark.tsx';
import { hundredthsOfLap, lapTime, raceScore } from './format.ts';
import { LapTable } from './lap-table.tsx';
import { Page, type Shell } from './layout.tsx';
import { RulingList } from './result-heats.tsx';
import type { ResultsData } from './results.tsx';
import { results as t } from './texts/en/results.ts';

type HeatPageProps = Pick<ResultsData, 'meeting' | 'report' | 'lookOf' | 'links'> & {
  shell: Shell;
  race: RaceReport;
  heat: HeatReport;
};

const words = t.heat;

/** One heat: its result, how it went lap by lap, every lap, every ruling. */
export function HeatPage(props: HeatPageProps) {
  const { shell, meeting, report, race, heat, links } = props;
  const title = words.title(heat.number, race.race.name);
  const nameOf = (entry: string) => report.names.get(entry) ?? '';
  const started = heat.stage !== 'planned';
  return (
    <Page
      shell={shell}
      title={title}
      above={<a href={links.results}>{meeting.name}</a>}
      heading={<bdi>{title}</bdi>}
      aside={<StateMark state={heat.stage} size="l" />}
      kind="wide"
    >
      {heat.stage === 'void' ? <Notice kind="warning">{words.void}</Notice> : null}
      {started ? null : <Notice kind="info">{words.notRun}</Notice>}
      <HeatChart {...props} />
      <HeatTable {...props} />
      {heat.heat.marshals.length > 0 ? <p>{words.marshals(t.names(heat.heat.marshals.map(nameOf)))}</p> : null}
      {started ? <HeatLaps {...props} /> : null}
      <Section title={words.rulingsTitle} id="rulings">
        {heat.rulings.length === 0 ? (
          <p>{words.noRulings}</p>
        ) : (
          <RulingList
            lines={heat.rulings}
            kind={race.race.format.kind}
            nameOf={nameOf}
            zone={meeting.zone}
            lang={shell.lang}
          />
        )}
      </Section>
    </Page>
  );
}

function HeatChart({ heat, report }: HeatPageProps) {
  const lines = heat.chart.slice(0, 16);
  const laps = Math.max(0, ...lines.map(({ places }) => places.length));
  if (laps < 2) return null;
  return (
    <LapChart
      id="lap-chart"
      title={t.chart.lapTitle}
      description={t.chart.lapText(laps)}
      lines={lines.map(({ entry, places }, i) => ({
        key: entry,
        name: report.names.get(entry) ?? '',
        places,
        strong: i === 0,
      }))}
    />
  );
}

function HeatTable({ heat, race, report, lookOf, links }: HeatPageProps) {
  const kind = race.race.format.kind;
  const started = heat.stage !== 'planned';
  const { part } = heat.state.standing;
  const notes = new Map(heat.result.map((row) => [row.lane, remarks(heat, row)]));
  const columns: (Column<HeatResultRow> | false)[] = [
    started && { key: 'place', head: words.place, numeric: true, cell: ({ place }) => place },
    { key: 'lane', head: words.lane, cell: ({ lane }) => <LaneMark lane={lookOf(lane)} /> },
    {
      key: 'driver',
      head: words.driver,
      rowHead: true,
      cell: ({ entry }) => (
        <a href={links.entry(entry)}>
          <bdi>{report.names.get(entry)}</bdi>
        </a>
      ),
    },
    started && {
      key: 'score',
      head: kind === 'time' ? words.scoreTime : words.scoreLaps,
      numeric: true,
      cell: ({ score }) => <strong>{raceScore(kind, score)}</strong>,
    },
    started && { key: 'laps', head: words.laps, numeric: true, cell: ({ laps }) => laps },
    kind === 'time' &&
      part.size > 0 && {
        key: 'part',
        head: words.part,
        numeric: true,
        cell: ({ lane, byHand }) => (byHand ? t.lanes.none : hundredthsOfLap(part.get(lane) ?? 0)),
      },
    started && {
      key: 'last',
      head: words.lastLapEnd,
      numeric: true,
      cell: ({ lastLapEndRaceUs: us }) => (us === null ? t.lanes.none : lapTime(us)),
    },
    started && {
      key: 'fastest',
      head: words.fastest,
      numeric: true,
      cell: ({ fastestUs }) => (fastestUs === null ? t.lanes.none : lapTime(fastestUs)),
    },
    [...notes.values()].some((note) => note !== '') && {
      key: 'notes',
      head: words.note,
      cell: ({ lane }) => <span class="result-note">{notes.get(lane)}</span>,
    },
  ];
  return (
    <Section title={words.resultTitle}>
      <DataTable
        caption={words.resultTitle}
        captionHidden
        id="heat-result"
        columns={columns.filter((column) => column !== false)}
        rows={heat.result}
        rowKey={({ lane }) => lane}
      />
    </Section>
  );
}

/** What else is to be said of a lane. */
function remarks({ state, stage }: HeatReport, row: HeatResultRow): string {
  const delayMs = state.plan.lanes.find(({ lane }) => lane === row.lane)?.delayMs ?? 0;
  const laps = state.plan.format.kind === 'laps';
  const notes = [
    delayMs > 0 && words.delay(lapTime(delayMs * 1000, 1)),
    row.byHand && words.byHand,
    row.excluded && words.excluded,
    row.standing === 'retired' && words.retired,
    laps && stage !== 'planned' && !row.finished && !row.excluded && words.notFinished,
  ];
  return notes.filter(Boolean).join('; ');
}

function HeatLaps({ heat, report, lookOf }: HeatPageProps) {
  const lanes = new Map(heat.state.lanes.map(({ rules, laps }) => [rules.lane, laps.toArray()]));
  return (
    <Section title={words.lapsTitle}>
      <div class="lap-tables">
        {heat.result.map(({ lane, entry, fastestUs, byHand }) => (
          <div class="lap-sheet" key={lane}>
            <h3>
              <LaneMark lane={lookOf(lane)} /> <bdi>{report.names.get(entry)}</bdi>
            </h3>
            {byHand ? (
              <p>{t.laps.byHand}</p>
            ) : (
              <LapTable
                caption={words.lapsOf(report.names.get(entry) ?? '', lane)}
                laps={lanes.get(lane) ?? []}
                fastestUs={fastestUs}
              />
            )}
          </div>
        ))}
      </div>
      <p class="results-hint">{t.laps.flagsHint}</p>
    </Section>
  );
}
