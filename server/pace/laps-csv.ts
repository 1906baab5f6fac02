import { type CsvRecord, csvRecords } from './csv.ts';
import type { DriverRow, LapRow } from './lap-row.ts';

/** What is wrong with a line of a table; the line is left out. */
export interface TableProblem {
  /** From 1, as an editor counts. */
  readonly line: number;
  readonly column: string;
  readonly kind: 'columnMissing' | 'empty' | 'notANumber' | 'notWhole' | 'tooSmall' | 'notOneOf' | 'twice';
  /** As it stands in the table. */
  readonly value: string;
}

export interface LapsTable {
  readonly laps: readonly LapRow[];
  readonly problems: readonly TableProblem[];
}

export interface DriversTable {
  readonly drivers: readonly DriverRow[];
  readonly problems: readonly TableProblem[];
}

/** Columns of a table of laps; the head may name them in any order, and others beside them. */
export const lapColumns = [
  'night',
  'heat',
  'start_s',
  'track',
  'lane',
  'driver',
  'class',
  'lap',
  'time_s',
  'flag',
] as const;

/** Columns of a table of drivers; `nights_before` may be missing. */
export const driverColumns = ['driver', 'group', 'nights_before'] as const;

/** Reads a table of counted laps. What cannot be read is named by its line, the rest is taken. */
export function readLaps(text: string): LapsTable {
  const laps: LapRow[] = [];
  const once = interned();
  const problems = read(text, lapColumns, [], (field) => {
    laps.push({
      night: whole(field('night'), 0),
      heat: once(named(field('heat'))),
      startS: number(field('start_s'), 0),
      track: once(named(field('track'))),
      lane: whole(field('lane'), 1),
      driver: once(named(field('driver'))),
      carClass: once(named(field('class'))),
      lap: whole(field('lap'), 1),
      timeS: above0(field('time_s')),
      flag: oneOf(field('flag'), ['', 'crash', 'call'] as const),
    });
  });
  return { laps, problems };
}

/** Reads a table of drivers: `group` is `junior`, `adult` or empty. */
export function readDrivers(text: string): DriversTable {
  const drivers = new Map<string, DriverRow>();
  const problems = read(text, driverColumns, ['nights_before'], (field) => {
    const driver = named(field('driver'));
    if (drivers.has(driver)) throw new Fault('twice');
    const group = oneOf(field('group'), ['junior', 'adult', ''] as const);
    const nightsBefore = field('nights_before') === '' ? 0 : whole(field('nights_before'), 0);
    drivers.set(driver, { driver, group: group === '' ? null : group, nightsBefore });
  });
  return { drivers: [...drivers.values()], problems };
}

/** A field that is not what it must be. Never leaves this file. */
class Fault extends Error {
  readonly kind: TableProblem['kind'];
  constructor(kind: TableProblem['kind']) {
    super(kind);
    this.kind = kind;
  }
}

type FieldOf<Column extends string> = (column: Column) => string;

function read<Column extends string>(
  text: string,
  columns: readonly Column[],
  optional: readonly Column[],
  take: (field: FieldOf<Column>) => void,
): TableProblem[] {
  const records = csvRecords(text);
  const head = records.next().value as CsvRecord | undefined;
  const place = new Map(columns.map((column) => [column, head?.fields.indexOf(column) ?? -1]));
  const missing = columns.filter((column) => place.get(column) === -1 && !optional.includes(column));
  if (missing.length > 0) {
    return missing.map((column) => ({ line: head?.line ?? 1, column, kind: 'columnMissing', value: '' }));
  }
  const problems: TableProblem[] = [];
  let record = head as CsvRecord;
  let asked = columns[0] as Column;
  const field: FieldOf<Column> = (column) => {
    asked = column;
    return record.fields[place.get(column) as number] ?? '';
  };
  for (record of records) {
    try {
      take(field);
    } catch (error) {
      if (!(error instanceof Fault)) throw error;
      problems.push({ line: record.line, column: asked, kind: error.kind, value: field(asked) });
    }
  }
  return problems;
}

/** Keeps one copy of each text, however often it stands in the table. */
function interned() {
  const known = new Map<string, string>();
  return (text: string) => {
    const same = known.get(text);
    if (same !== undefined) return same;
    // Joined anew, so that the few names do not hold the whole table in memory.
    const own = [...text].join('');
    known.set(own, own);
    return own;
  };
}

function named(text: string): string {
  if (text === '') throw new Fault('empty');
  return text;
}

function number(text: string, least: number): number {
  if (text === '') throw new Fault('empty');
  const value = Number(text);
  if (!Number.isFinite(value)) throw new Fault('notANumber');
  if (value < least) throw new Fault('tooSmall');
  return value;
}

function whole(text: string, least: number): number {
  const value = number(text, least);
  if (!Number.isSafeInteger(value)) throw new Fault('notWhole');
  return value;
}

function above0(text: string): number {
  const value = number(text, 0);
  if (value === 0) throw new Fault('tooSmall');
  return value;
}

function oneOf<const Choice extends string>(text: string, choices: readonly Choice[]): Choice {
  const choice = choices.find((each) => each === text);
  if (choice === undefined) throw new Fault('notOneOf');
  return choice;
}
