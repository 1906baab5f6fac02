import { stringify } from 'csv-stringify/sync';
import type { LapFlag } from '../heats/laps.ts';
import type { MeetingReport, RaceReport } from './report.ts';

/** The words of the tables: heads of columns and flags of laps. */
export type CsvWords = {
  readonly results: Readonly<
    Record<'place' | 'driver' | 'car' | 'scoreLaps' | 'scoreSeconds' | 'laps' | 'fastest' | 'heats' | 'missing', string>
  > & { readonly excluded: string; readonly lane: (lane: number) => string };
  readonly laps: Readonly<Record<'heat' | 'lane' | 'driver' | 'lap' | 'time' | 'raceTime' | 'notes', string>>;
  readonly yes: string;
  readonly no: string;
  readonly flags: Readonly<Record<LapFlag, string>>;
};

type Cell = string | number | null;

/**
 * A text as a cell: spreadsheets take one that begins with one of these characters for a formula, so a `'` goes before
 * it (as CWE-1236 advises). Numbers are numbers and stay as they are.
 */
export function textCell(text: string): string {
  return /^[=+\-@\t\r\0]/.test(text) ? `'${text}` : text;
}

/**
 * RFC 4180, UTF-8 with a byte order mark: without it the commonest spreadsheet reads names with accents wrongly, and
 * the others skip it.
 */
function csv(rows: readonly (readonly Cell[])[]): string {
  return stringify(
    rows.map((row) => row.map((cell) => (typeof cell === 'number' ? String(cell) : cell))),
    { bom: true, record_delimiter: 'windows' },
  );
}

/** A number of `1 / 10^decimals` as a decimal number; scores and times have no thousands and no sign. */
function decimal(value: number | null, decimals: number): string | null {
  return value === null ? null : (value / 10 ** decimals).toFixed(decimals);
}

/** The standing of a race: a row for every entry, with its score on each lane. */
export function resultsCsv(
  { race, standing, lanes, laneTable }: RaceReport,
  cars: ReadonlyMap<string, string>,
  words: CsvWords,
): string {
  const { results: heads } = words;
  const byLaps = race.format.kind === 'time';
  const score = (value: number | null) => decimal(value, byLaps ? 2 : 3);
  const laneScores = new Map(laneTable.map((row) => [row.entry, row.lanes]));
  const head = [
    heads.place,
    heads.driver,
    heads.car,
    byLaps ? heads.scoreLaps : heads.scoreSeconds,
    heads.laps,
    heads.fastest,
    heads.heats,
    heads.missing,
    heads.excluded,
    ...lanes.map(heads.lane),
  ];
  const rows = standing.rows.map((row): Cell[] => [
    row.place,
    textCell(row.nickname),
    textCell(cars.get(row.entry) ?? ''),
    score(row.score),
    row.laps,
    decimal(row.fastestUs, 6),
    row.heats.length,
    row.missing,
    row.excluded ? words.yes : words.no,
    ...lanes.map((_, i) => {
      const scores = laneScores.get(row.entry)?.[i]?.map((heat) => heat.score) ?? [];
      if (scores.length === 0 || scores.includes(null)) return null;
      return score(scores.reduce((sum: number, one) => sum + (one ?? 0), 0));
    }),
  ]);
  return csv([head, ...rows]);
}

/** Every counted lap of a race, by heat, lane and number. */
export function lapsCsv({ heats }: RaceReport, names: MeetingReport['names'], words: CsvWords): string {
  const { laps: heads } = words;
  const head = [heads.heat, heads.lane, heads.driver, heads.lap, heads.time, heads.raceTime, heads.notes];
  const rows = heats.flatMap(({ number, stage, state }) =>
    stage === 'planned' || stage === 'void'
      ? []
      : state.lanes.flatMap(({ rules, laps }) =>
          laps
            .toArray()
            .map((lap): Cell[] => [
              number,
              rules.lane,
              textCell(names.get(rules.entry ?? '') ?? ''),
              lap.n,
              decimal(lap.durationUs, 6),
              decimal(lap.endRaceUs, 6),
              lap.flags.map((flag) => words.flags[flag]).join('; '),
            ]),
        ),
  );
  return csv([head, ...rows]);
}
