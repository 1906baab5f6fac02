import { pace as words } from '../../views/texts/en/pace-command.ts';
import type { DriverRow, LapRow } from '../pace/lap-row.ts';
import { isLapTime } from '../pace/lap-table.ts';
import { lapColumns, readDrivers, readLaps, type TableProblem } from '../pace/laps-csv.ts';
import { printable } from './count-text.ts';
import { Refusal } from './refusal.ts';

/**
 * Reads a table of laps. A lap whose time is no time is left out, as timing systems write such; any other fault is one of
 * the table.
 *
 * @param source what the file is called in sentences
 * @returns the laps, and sentences on what is left out
 * @throws Refusal for a text that is no such table
 */
export function lapsFrom(text: string, source: string): { laps: readonly LapRow[]; notes: string[] } {
  const { laps, problems } = readLaps(text);
  refuse(
    problems.filter((problem) => !isNoTime(problem)),
    source,
    lapColumns,
  );
  const notes: string[] = [];
  const [first] = problems;
  if (first) notes.push(words.notes.noTimes(source, problems.length, first.line));
  const faults = laps.reduce((sum, { timeS }) => sum + (isLapTime(timeS) ? 0 : 1), 0);
  if (faults > 0) notes.push(words.notes.noLapTimes(source, faults));
  return { laps, notes };
}

const neededOfDrivers = ['driver', 'group'];

/** Reads a table of drivers. @throws Refusal for a text that is no such table */
export function driversFrom(text: string, source: string): readonly DriverRow[] {
  const { drivers, problems } = readDrivers(text);
  refuse(problems, source, neededOfDrivers);
  return drivers;
}

/** A time of 0 or less, infinite, missing or said to be no number; "6,1" or "fast" is a fault of the table. */
const isNoTime = ({ column, kind, value }: TableProblem) =>
  column === 'time_s' &&
  (kind === 'empty' ||
    kind === 'tooSmall' ||
    (kind === 'notANumber' && (/^[+-]?(nan|na|null|inf)$/i.test(value) || !Number.isNaN(Number(value)))));

function refuse(problems: readonly TableProblem[], source: string, columns: readonly string[]): void {
  const [first] = problems;
  if (first === undefined) return;
  const { line, column, kind } = first;
  const more = problems.length - 1;
  const value = shortened(printable(first.value));
  switch (kind) {
    case 'columnMissing': {
      const missing = problems.map((problem) => problem.column);
      throw new Refusal(1, words.columnsMissing(source, line, missing, columns));
    }
    case 'twice':
      throw new Refusal(1, words.driverTwice(source, line, value, more));
    default:
      throw new Refusal(1, words.wrongColumn(source, line, column, value, more));
  }
}

const mostShown = 40;
const shortened = (value: string) => (value.length > mostShown ? `${value.slice(0, mostShown)}…` : value);
