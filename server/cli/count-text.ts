import { lapTime, raceScore } from '../../views/format.ts';
import { count as words } from '../../views/texts/en/count.ts';
import type { Race } from '../results/meeting-facts.ts';
import type { RaceRow, RaceStanding } from '../results/standing.ts';

/** The standings of races as text: a heading and a table each. */
export function countText(races: readonly Race[], standings: readonly RaceStanding[]): string {
  if (standings.length === 0) return `${words.noRaces}\n`;
  return standings.map((standing, i) => raceText(races[i] as Race, standing)).join('\n');
}

function raceText(race: Race, { provisional, rows }: RaceStanding): string {
  const heading = printable(words.heading(race.name, race.carClass, provisional));
  if (rows.length === 0) return `${heading}\n${words.noEntries}\n`;
  const { columns } = words;
  const { kind } = race.format;
  const head = [
    columns.place,
    columns.nickname,
    columns.score[kind],
    columns.laps,
    columns.fastest,
    columns.heats,
    columns.notes,
  ];
  const lines = table([head, ...rows.map((row) => cells(kind, row))], leftColumns);
  return `${[heading, ...lines].join('\n')}\n`;
}

function cells(kind: Race['format']['kind'], row: RaceRow): string[] {
  const notes = [row.missing > 0 ? words.filledByMean(row.missing) : '', row.excluded ? words.excluded : ''];
  return [
    String(row.place),
    printable(row.nickname),
    raceScore(kind, row.score, words.none),
    String(row.laps),
    row.fastestUs === null ? words.none : lapTime(row.fastestUs),
    String(row.heats.length),
    notes.filter((note) => note !== '').join(', '),
  ];
}

const leftColumns = [1, 6];

/** Lines of a table; texts, in the columns named, stand left, numbers right. */
export function table(rows: readonly (readonly string[])[], leftColumns: readonly number[]): string[] {
  const widths = (rows[0] ?? []).map((_, column) => Math.max(...rows.map((row) => width(row[column] ?? ''))));
  return rows.map((row) =>
    row
      .map((cell, column) => {
        const space = ' '.repeat((widths[column] ?? 0) - width(cell));
        return leftColumns.includes(column) ? cell + space : space + cell;
      })
      .join('  ')
      .trimEnd(),
  );
}

/** Characters that a terminal gives a place of their own; it is close, not exact, for scripts wider than ours. */
function width(cell: string): number {
  return [...cell].length;
}

/** A text for a terminal: names may hold control characters, which would act on it instead of being read. */
export function printable(name: string): string {
  return name.replace(/\p{Cc}|\p{Zl}|\p{Zp}|\p{Cs}/gu, '\ufffd');
}
