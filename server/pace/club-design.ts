import type { Attendance } from './attendance.ts';
import {
  allColumns,
  byText,
  type ClubColumns,
  type ClubTerms,
  learningAt,
  type Person,
  RowWriter,
  telling,
} from './club-columns.ts';
import type { HeatRow } from './heat-row.ts';
import type { DriverRow } from './lap-row.ts';
import { mean } from './numeric/moments.ts';

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

/** By driver, night, class, track, start, heat. */
function sorted(rows: readonly HeatRow[]): HeatRow[] {
  // Names are compared once, not in every comparison of rows.
  const placesOf = (nameOf: (row: HeatRow) => string) => {
    const names = [...new Set(rows.map(nameOf))].sort(byText);
    const places = new Map(names.map((name, i) => [name, i]));
    return Int32Array.from(rows, (row) => places.get(nameOf(row)) as number);
  };
  const drivers = placesOf(({ driver }) => driver);
  const classes = placesOf(({ carClass }) => carClass);
  const tracks = placesOf(({ track }) => track);
  const order = rows.map((_, i) => i);
  order.sort((i, j) => {
    const [a, b] = [rows[i] as HeatRow, rows[j] as HeatRow];
    return (
      (drivers[i] as number) - (drivers[j] as number) ||
      a.night - b.night ||
      (classes[i] as number) - (classes[j] as number) ||
      (tracks[i] as number) - (tracks[j] as number) ||
      a.startS - b.startS ||
      byText(a.heat, b.heat)
    );
  });
  return order.map((i) => rows[i] as HeatRow);
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
