import { nicknameMax } from '../drivers/nicknames.ts';
import { nameKey, tidyName } from '../shared/names.ts';
import { csvRecords } from './csv.ts';
import { type LapColumns, LapColumnsBuilder } from './lap-columns.ts';
import type { DriverRow, LapRow } from './lap-row.ts';
import { readDrivers, readLaps, type TableProblem } from './laps-csv.ts';

/** The files of an import, as they were sent. */
export interface ImportFiles {
  readonly laps: Uint8Array;
  readonly drivers: Uint8Array | null;
}

export interface ImportProblem {
  readonly file: keyof ImportFiles;
  /** From 1, as an editor counts; 0 for the file as a whole. */
  readonly line: number;
  readonly column: string;
  readonly kind: TableProblem['kind'] | 'notText' | 'noLaps' | 'tooLarge' | 'name' | 'repeated';
  readonly value: string;
}

export interface ImportedDriver extends DriverRow {
  readonly laps: number;
}

/** What was found in the files. In `laps`, drivers, classes and tracks stand by the names listed here. */
export interface FoundLaps {
  readonly laps: LapColumns;
  readonly nights: number;
  readonly drivers: readonly ImportedDriver[];
  readonly classes: readonly string[];
  readonly tracks: readonly string[];
}

export type ReadImport =
  | { readonly ok: true; readonly found: FoundLaps }
  /** The first problems of each file, and how many there are in all. */
  | { readonly ok: false; readonly problems: readonly ImportProblem[]; readonly count: number };

/** Problems that a person reads before going back to the file. */
const mostShown = 50;
export const classNameMax = 40;
export const trackNameMax = 80;
const heatNameMax = 80;

/** What numbers may be at most: beyond it is a slip of the pen, or a column of something else. */
const most = { night: 1e9, start_s: 1e7, lane: 99, lap: 1e6, time_s: 86_400 } as const;

/** Reads the files of an import step by step. Nothing is taken of files with a problem. */
export function* readingImport(files: ImportFiles): Generator<{ done: number; of: number }, ReadImport> {
  yield { done: 0, of: 3 };
  const text = textOf(files.laps);
  const driversText = files.drivers === null ? '' : textOf(files.drivers);
  if (text === null) return refused([wholeFile('laps', 'notText')]);
  if (driversText === null) return refused([wholeFile('drivers', 'notText')]);
  const table = readLaps(text);
  const people = files.drivers === null ? { drivers: [], problems: [] } : readDrivers(driversText);
  yield { done: 1, of: 3 };
  const problems: ImportProblem[] = [
    ...table.problems.map((problem) => ({ ...problem, file: 'laps' as const })),
    ...people.problems.map((problem) => ({ ...problem, file: 'drivers' as const })),
  ];
  if (problems.length > 0) return refused(problems);
  if (table.laps.length === 0) return refused([wholeFile('laps', 'noLaps')]);
  const beyond = check(table.laps);
  if (beyond.length > 0) return refused(withLines(beyond, text));
  yield { done: 2, of: 3 };
  return { ok: true, found: gather(table.laps, people.drivers) };
}

const wholeFile = (file: keyof ImportFiles, kind: ImportProblem['kind']): ImportProblem => ({
  file,
  line: 0,
  column: '',
  kind,
  value: '',
});

const refused = (problems: readonly ImportProblem[]): ReadImport => ({
  ok: false,
  problems: problems.slice(0, mostShown).map((problem) => ({ ...problem, value: problem.value.slice(0, 60) })),
  count: problems.length,
});

function textOf(bytes: Uint8Array): string | null {
  try {
    const text = new TextDecoder('utf-8', { fatal: true }).decode(bytes);
    return text.includes('\0') ? null : text;
  } catch {
    return null;
  }
}

/** A problem of the lap at this place, from 0. */
type LapProblem = Omit<ImportProblem, 'line' | 'file'> & { readonly at: number };

/** What the form of a table allows and a club cannot keep. */
function check(laps: readonly LapRow[]): LapProblem[] {
  const problems: LapProblem[] = [];
  const names = { driver: nicknameMax, class: classNameMax, track: trackNameMax, heat: heatNameMax };
  const seen = {
    driver: new Set<string>(),
    class: new Set<string>(),
    track: new Set<string>(),
    heat: new Set<string>(),
  };
  const heats = new Map<string, Set<number>>();
  for (const [at, lap] of laps.entries()) {
    const { night, startS, lane, timeS } = lap;
    const numbers = { night, start_s: startS, lane, lap: lap.lap, time_s: timeS };
    for (const column of ['night', 'start_s', 'lane', 'lap', 'time_s'] as const) {
      if (numbers[column] > most[column]) {
        problems.push({ at, column, kind: 'tooLarge', value: String(numbers[column]) });
      }
    }
    const texts = { driver: lap.driver, class: lap.carClass, track: lap.track, heat: lap.heat };
    for (const column of ['driver', 'class', 'track', 'heat'] as const) {
      const value = texts[column];
      if (seen[column].has(value)) continue;
      seen[column].add(value);
      if ('problem' in tidyName(value, names[column])) problems.push({ at, column, kind: 'name', value });
    }
    const key = JSON.stringify([night, lap.heat, lap.track, lane, lap.driver, lap.carClass]);
    const own = heats.get(key) ?? new Set();
    heats.set(key, own);
    // A number may come twice, where a crossing was counted twice; number and time together are a line sent twice.
    const same = lap.lap * 1e9 + Math.round(timeS * 1e4);
    if (own.has(same)) problems.push({ at, column: 'lap', kind: 'repeated', value: String(lap.lap) });
    own.add(same);
  }
  return problems;
}

/** Looks up the lines of laps; only of a table without other problems, where every record is a lap. */
function withLines(problems: readonly LapProblem[], text: string): ImportProblem[] {
  const wanted = new Map<number, number>();
  for (const { at } of problems) wanted.set(at, 0);
  let at = -1;
  for (const { line } of csvRecords(text)) {
    if (wanted.has(at)) wanted.set(at, line);
    at += 1;
  }
  return problems.map(({ at, ...problem }) => ({ ...problem, file: 'laps', line: wanted.get(at) ?? 0 }));
}

/** Names that look the same are the same: each stands as it was written first. */
class Names {
  readonly #known = new Map<string, string>();
  readonly #max: number;
  readonly all: string[] = [];

  constructor(max: number) {
    this.#max = max;
  }

  of(written: string): string {
    const exact = this.#known.get(written);
    if (exact !== undefined) return exact;
    const tidy = tidyName(written, this.#max);
    const name = 'name' in tidy ? tidy.name : written;
    const key = `key ${nameKey(name)}`;
    const same = this.#known.get(key);
    if (same === undefined) {
      this.all.push(name);
      this.#known.set(key, name);
    }
    this.#known.set(written, same ?? name);
    return same ?? name;
  }
}

function gather(laps: readonly LapRow[], people: readonly DriverRow[]): FoundLaps {
  const drivers = new Names(nicknameMax);
  const classes = new Names(classNameMax);
  const tracks = new Names(trackNameMax);
  const into = new LapColumnsBuilder();
  const counts = new Map<string, number>();
  const nights = new Set<number>();
  let last: LapRow | null = null;
  for (const row of laps) {
    const { lap, timeS, flag, ...heat } = row;
    const driver = drivers.of(row.driver);
    counts.set(driver, (counts.get(driver) ?? 0) + 1);
    nights.add(row.night);
    if (last === null || !sameHeat(row, last)) {
      into.heat({ ...heat, driver, carClass: classes.of(row.carClass), track: tracks.of(row.track) });
    }
    into.lap({ lap, timeS, flag });
    last = row;
  }
  const told = new Map(people.map((person) => [nameKey(person.driver), person]));
  return {
    laps: into.columns(),
    nights: nights.size,
    drivers: drivers.all.map((driver) => {
      const { group = null, nightsBefore = 0 } = told.get(nameKey(driver)) ?? {};
      return { driver, group, nightsBefore, laps: counts.get(driver) ?? 0 };
    }),
    classes: classes.all,
    tracks: tracks.all,
  };
}

const sameHeat = (a: LapRow, b: LapRow) =>
  a.driver === b.driver &&
  a.heat === b.heat &&
  a.night === b.night &&
  a.lane === b.lane &&
  a.startS === b.startS &&
  a.track === b.track &&
  a.carClass === b.carClass;
