import type { HeatRow } from './heat-row.ts';
import type { DriverRow } from './lap-row.ts';
import { driftAt } from './night-drift.ts';
import { dependentColumns } from './numeric/matrix.ts';
import { mean } from './numeric/moments.ts';

/** Parts of the model that can be left out, for comparisons with simpler ones. */
export interface ClubTerms {
  /** Juniors get faster with the nights they attend: by a mean curve, and each by an own one. */
  readonly learning: boolean;
  /** The track gets slower or faster over a night. */
  readonly drift: boolean;
}

/** Rows between two chances to stop: a few milliseconds. */
const rowsPerStep = 5000;

/** Nights after which a beginner has learnt all but a third: e of the number of nights attended. */
const learningNights = 8;
export const learningAt = (nightsAttended: number) => Math.exp(-nightsAttended / learningNights);

/** Nights each driver attended, in order, also those whose heats are not used for pace. */
export type Attendance = ReadonlyMap<string, readonly number[]>;

/** The heats of one driver, in cells: all heats of one night in one class on one track. They touch the same columns. */
export interface DriverBlock {
  readonly driver: string;
  /** 1 a junior, 0 an adult, between where nobody said: the share of juniors among those who did. */
  readonly junior: number;
  readonly groupKnown: boolean;
  readonly cells: number;
  /** By cell: nights attended before it, `learningAt` that times `junior`, number of the night, class. */
  readonly attended: Float64Array;
  readonly learning: Float64Array;
  readonly night: Float64Array;
  readonly carClass: Int32Array;
  /** The rows of cell c stand from `rowFrom[c]` up to `rowFrom[c + 1]` in the rows of the design. */
  readonly rowFrom: Int32Array;
  /** Shared columns that the driver's rows touch, rising; and the first cell that touches each. */
  readonly columns: Int32Array;
  readonly firstCell: Int32Array;
  /** Places in `columns` that cell c touches, from `touchedFrom[c]` on. */
  readonly touched: Int32Array;
  readonly touchedFrom: Int32Array;
  /** Values of the rows there, row by row, those of cell c from `valuesFrom[c]` on. */
  readonly values: Float64Array;
  readonly valuesFrom: Int32Array;
}

/** Shared effects: classes, tracks, lanes, juniors, learning, drift, then grip and drift of each night. */
export interface ClubColumns {
  readonly classes: readonly string[];
  /** The first is the reference: the track with most heats. */
  readonly tracks: readonly string[];
  /** Lanes of each track; their effects add up to 0, the last is minus the sum of the others. */
  readonly lanes: ReadonlyMap<string, readonly number[]>;
  /** Grip is of a night on a track, in the order of nights. */
  readonly grips: readonly { readonly night: number; readonly track: string }[];
  readonly count: number;
  /** Where effects stand; null where they cannot be told from others. */
  readonly ofClass: readonly (number | null)[];
  readonly ofTrack: readonly (number | null)[];
  readonly ofLane: ReadonlyMap<string, readonly (number | null)[]>;
  readonly junior: number | null;
  readonly learning: number | null;
  readonly drift: number | null;
  readonly firstGrip: number;
  /** 2 with drift: grip and drift of a night beside each other. */
  readonly perGrip: number;
}

export interface ClubDesign {
  /** By driver, night, class, track, start. */
  readonly rows: readonly HeatRow[];
  /** Log pace less `centre`. */
  readonly y: Float64Array;
  readonly v: Float64Array;
  readonly centre: number;
  readonly columns: ClubColumns;
  readonly blocks: readonly DriverBlock[];
  /** Share of juniors among drivers whose group is known. */
  readonly juniorShare: number;
}

const isUsable = ({ y, v, night, lane, startS }: HeatRow) =>
  Number.isFinite(y) &&
  Number.isFinite(v) &&
  v >= 0 &&
  Number.isFinite(night) &&
  Number.isFinite(lane) &&
  Number.isFinite(startS);

/** Arranges heats for the club model, step by step. Rows with numbers that cannot be used are passed over. */
export function* designingClub(
  rows: readonly HeatRow[],
  drivers: readonly DriverRow[],
  terms: ClubTerms,
  attendance: Attendance,
): Generator<void, ClubDesign> {
  const usable = sorted(rows.filter(isUsable));
  const known = new Map(drivers.map((driver) => [driver.driver, driver]));
  const juniorShare = shareOfJuniors(drivers);
  const people = new Map<string, Person>();
  for (const { driver } of usable) {
    if (people.has(driver)) continue;
    const { group = null, nightsBefore = 0 } = known.get(driver) ?? {};
    const before = Number.isFinite(nightsBefore) ? Math.max(0, nightsBefore) : 0;
    const attended = new Map((attendance.get(driver) ?? []).map((night, i) => [night, before + i]));
    people.set(driver, { junior: juniorness(group, juniorShare), groupKnown: group !== null, attended });
  }
  yield;
  const full = allColumns(usable, terms);
  yield;
  const columns = yield* telling(usable, people, full);
  const centre = usable.length > 0 ? mean(usable.map(({ y }) => y)) : 0;
  return {
    rows: usable,
    y: Float64Array.from(usable, ({ y }) => y - centre),
    v: Float64Array.from(usable, ({ v }) => v),
    centre,
    columns,
    blocks: yield* blocking(usable, people, columns),
    juniorShare,
  };
}

export const juniorness = (group: DriverRow['group'], share: number) =>
  group === 'junior' ? 1 : group === 'adult' ? 0 : share;

function shareOfJuniors(drivers: readonly DriverRow[]): number {
  const said = drivers.filter(({ group }) => group !== null);
  return (said.filter(({ group }) => group === 'junior').length + 0.5) / (said.length + 1);
}

/** Collects who was there on which nights. */
export class AttendanceBook {
  readonly #nights = new Map<string, Set<number>>();
  #driver: string | null = null;
  #night = Number.NaN;

  add({ driver, night }: { readonly driver: string; readonly night: number }): void {
    // Laps of one heat follow each other.
    if ((driver === this.#driver && night === this.#night) || !Number.isFinite(night)) return;
    [this.#driver, this.#night] = [driver, night];
    const own = this.#nights.get(driver);
    if (own) own.add(night);
    else this.#nights.set(driver, new Set([night]));
  }

  attendance(): Attendance {
    return new Map([...this.#nights].map(([driver, own]) => [driver, [...own].sort((a, b) => a - b)]));
  }
}

export function attendanceOf(rows: Iterable<{ readonly driver: string; readonly night: number }>): Attendance {
  const book = new AttendanceBook();
  for (const row of rows) book.add(row);
  return book.attendance();
}

interface Person {
  readonly junior: number;
  readonly groupKnown: boolean;
  readonly attended: ReadonlyMap<number, number>;
}

const byText = (a: string, b: string) => (a < b ? -1 : a > b ? 1 : 0);

/** By driver, night, class, track, start, heat. */
function sorted(rows: readonly HeatRow[]): HeatRow[] {
  // Names are compared once, not in every comparison of rows.
  const places = (names: string[]) => new Map([...new Set(names)].sort(byText).map((name, i) => [name, i]));
  const driverAt = places(rows.map(({ driver }) => driver));
  const kindOf = ({ carClass, track }: HeatRow) => JSON.stringify([carClass, track]);
  const kindAt = places(rows.map(kindOf));
  const drivers = Int32Array.from(rows, ({ driver }) => driverAt.get(driver) as number);
  const kinds = Int32Array.from(rows, (row) => kindAt.get(kindOf(row)) as number);
  const order = rows.map((_, i) => i);
  order.sort((i, j) => {
    const [a, b] = [rows[i] as HeatRow, rows[j] as HeatRow];
    return (
      (drivers[i] as number) - (drivers[j] as number) ||
      a.night - b.night ||
      (kinds[i] as number) - (kinds[j] as number) ||
      a.startS - b.startS ||
      byText(a.heat, b.heat)
    );
  });
  return order.map((i) => rows[i] as HeatRow);
}

function allColumns(rows: readonly HeatRow[], terms: ClubTerms): ClubColumns {
  const classes = [...new Set(rows.map(({ carClass }) => carClass))].sort(byText);
  const heatsOn = new Map<string, number>();
  const laneSets = new Map<string, Set<number>>();
  const gripAt = new Map<string, { night: number; track: string }>();
  for (const { track, lane, night } of rows) {
    heatsOn.set(track, (heatsOn.get(track) ?? 0) + 1);
    laneSets.set(track, (laneSets.get(track) ?? new Set()).add(lane));
    gripAt.set(gripKey(night, track), { night, track });
  }
  const tracks = [...heatsOn.keys()].sort((a, b) => (heatsOn.get(b) ?? 0) - (heatsOn.get(a) ?? 0) || byText(a, b));
  const lanes = new Map([...laneSets].map(([track, set]) => [track, [...set].sort((a, b) => a - b)]));
  const grips = [...gripAt.values()].sort((a, b) => a.night - b.night || byText(a.track, b.track));
  let next = 0;
  const take = () => next++;
  const ofClass = classes.map(take);
  const ofTrack = tracks.map((_, i) => (i === 0 ? null : take()));
  const ofLane = new Map(tracks.map((track) => [track, (lanes.get(track) ?? []).slice(1).map(take)]));
  const junior = take();
  const learning = terms.learning ? take() : null;
  const drift = terms.drift ? take() : null;
  const perGrip = terms.drift ? 2 : 1;
  const count = next + perGrip * grips.length;
  return {
    ...{ classes, tracks, lanes, grips, count, ofClass, ofTrack, ofLane },
    ...{ junior, learning, drift, firstGrip: next, perGrip },
  };
}

const gripKey = (night: number, track: string) => `${night} ${track}`;

/** The columns without those whose effects cannot be told from others: a club without juniors, a track with one lane. */
function* telling(
  rows: readonly HeatRow[],
  people: ReadonlyMap<string, Person>,
  full: ClubColumns,
): Generator<void, ClubColumns> {
  const fixed = full.firstGrip;
  const gram = new Float64Array(fixed * fixed);
  const writer = new RowWriter(full, people);
  for (const [index, row] of rows.entries()) {
    if (index % rowsPerStep === 0) yield;
    writer.write(row);
    const { columns, values } = writer;
    for (let i = 0; i < writer.count; i++) {
      const at = (columns[i] as number) * fixed;
      for (let j = 0; j <= i && (columns[i] as number) < fixed; j++) {
        const place = at + (columns[j] as number);
        gram[place] = (gram[place] as number) + (values[i] as number) * (values[j] as number);
      }
    }
  }
  let next = 0;
  const place = dependentColumns(gram, fixed).map((left) => (left ? null : next++));
  const at = (column: number | null) => (column === null ? null : (place[column] ?? null));
  return {
    ...full,
    ofClass: full.ofClass.map(at),
    ofTrack: full.ofTrack.map(at),
    ofLane: new Map([...full.ofLane].map(([track, list]) => [track, list.map(at)])),
    junior: at(full.junior),
    learning: at(full.learning),
    drift: at(full.drift),
    firstGrip: next,
    count: next + full.perGrip * full.grips.length,
  };
}

/** Writes a heat's entries in the shared columns, zeros of its track's other lanes included; columns rise. */
class RowWriter {
  readonly columns: Int32Array;
  readonly values: Float64Array;
  count = 0;
  readonly #shared: ClubColumns;
  readonly #people: ReadonlyMap<string, Person>;
  readonly #classAt: ReadonlyMap<string, number | null>;
  readonly #trackAt: ReadonlyMap<string, number | null>;
  readonly #gripAt: ReadonlyMap<string, number>;

  constructor(columns: ClubColumns, people: ReadonlyMap<string, Person>) {
    const most = 7 + Math.max(0, ...[...columns.lanes.values()].map((lanes) => lanes.length));
    this.columns = new Int32Array(most);
    this.values = new Float64Array(most);
    this.#shared = columns;
    this.#people = people;
    this.#classAt = new Map(columns.classes.map((name, i) => [name, columns.ofClass[i] ?? null]));
    this.#trackAt = new Map(columns.tracks.map((name, i) => [name, columns.ofTrack[i] ?? null]));
    this.#gripAt = new Map(
      columns.grips.map(({ night, track }, i) => [gripKey(night, track), columns.firstGrip + columns.perGrip * i]),
    );
  }

  write({ night, track, lane, driver, carClass, startS }: HeatRow): void {
    const { lanes, ofLane, junior, learning, drift, perGrip } = this.#shared;
    const person = this.#people.get(driver) as Person;
    this.count = 0;
    this.#put(this.#classAt.get(carClass), 1);
    this.#put(this.#trackAt.get(track), 1);
    const numbers = lanes.get(track) ?? [];
    const number = numbers.indexOf(lane);
    const own = ofLane.get(track) ?? [];
    for (let i = 0; i < own.length; i++) this.#put(own[i], number === own.length ? -1 : number === i ? 1 : 0);
    this.#put(junior, person.junior);
    this.#put(learning, person.junior * learningAt(person.attended.get(night) ?? 0));
    const driftNow = driftAt(startS);
    this.#put(drift, -driftNow);
    const grip = this.#gripAt.get(gripKey(night, track)) as number;
    this.#put(grip, 1);
    if (perGrip === 2) this.#put(grip + 1, -driftNow);
  }

  #put(column: number | null | undefined, value: number) {
    if (column === null || column === undefined) return;
    this.columns[this.count] = column;
    this.values[this.count++] = value;
  }
}

function* blocking(
  rows: readonly HeatRow[],
  people: ReadonlyMap<string, Person>,
  columns: ClubColumns,
): Generator<void, DriverBlock[]> {
  const writer = new RowWriter(columns, people);
  const classAt = new Map(columns.classes.map((name, i) => [name, i]));
  const placeOf = new Int32Array(columns.count);
  const blocks: DriverBlock[] = [];
  for (let from = 0; from < rows.length; ) {
    const { driver } = rows[from] as HeatRow;
    const cells: { readonly row: HeatRow; readonly from: number; readonly columns: number[] }[] = [];
    const values: number[] = [];
    const valuesFrom: number[] = [];
    let to = from;
    for (; rows[to]?.driver === driver; to++) {
      const row = rows[to] as HeatRow;
      writer.write(row);
      if (!sameCell(cells.at(-1)?.row, row)) {
        cells.push({ row, from: to, columns: Array.from(writer.columns.subarray(0, writer.count)) });
        valuesFrom.push(values.length);
      }
      for (let i = 0; i < writer.count; i++) values.push(writer.values[i] as number);
    }
    const own = [...new Set(cells.flatMap((cell) => cell.columns))].sort((a, b) => a - b);
    for (const [place, column] of own.entries()) placeOf[column] = place;
    const firstCell = new Int32Array(own.length);
    for (let c = cells.length - 1; c >= 0; c--)
      for (const column of cells[c]?.columns ?? []) firstCell[placeOf[column] as number] = c;
    const touchedFrom = [0];
    for (const cell of cells) touchedFrom.push((touchedFrom.at(-1) as number) + cell.columns.length);
    const person = people.get(driver) as Person;
    const attended = Float64Array.from(cells, ({ row }) => person.attended.get(row.night) ?? 0);
    blocks.push({
      driver,
      junior: person.junior,
      groupKnown: person.groupKnown,
      cells: cells.length,
      attended,
      learning: attended.map((k) => person.junior * learningAt(k)),
      night: Float64Array.from(cells, ({ row }) => row.night),
      carClass: Int32Array.from(cells, ({ row }) => classAt.get(row.carClass) as number),
      rowFrom: Int32Array.from([...cells.map((cell) => cell.from), to]),
      columns: Int32Array.from(own),
      firstCell,
      touched: Int32Array.from(cells.flatMap((cell) => cell.columns.map((column) => placeOf[column] as number))),
      touchedFrom: Int32Array.from(touchedFrom),
      values: Float64Array.from(values),
      valuesFrom: Int32Array.from(valuesFrom),
    });
    from = to;
    yield;
  }
  return blocks;
}

const sameCell = (a: HeatRow | undefined, b: HeatRow) =>
  a !== undefined && a.night === b.night && a.carClass === b.carClass && a.track === b.track;
