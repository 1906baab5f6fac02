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

/** Nights after which a beginner has learnt all but a third: e of the number of nights attended. */
const learningNights = 8;
export const learningAt = (nightsAttended: number) => Math.exp(-nightsAttended / learningNights);

/** Nights each driver attended, in order, also those whose heats are not used for pace. */
export type Attendance = ReadonlyMap<string, readonly number[]>;

/** The heats of one driver, in cells: all heats of one night in one class. */
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
  /** Places in `columns` that cell c touches, from `touchedFrom[c]` on; and the values of its rows there, row by row. */
  readonly touched: Int32Array;
  readonly touchedFrom: Int32Array;
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
  /** By driver, night, class, start. */
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

/** Arranges heats for the club model. Rows with numbers that cannot be used are passed over. */
export function clubDesign(
  rows: readonly HeatRow[],
  drivers: readonly DriverRow[],
  terms: ClubTerms,
  attendance: Attendance = attendanceOf(rows),
): ClubDesign {
  const usable = rows.filter(isUsable).sort(compare);
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
  const full = allColumns(usable, terms);
  const columns = told(usable, people, full);
  const centre = usable.length > 0 ? mean(usable.map(({ y }) => y)) : 0;
  return {
    rows: usable,
    y: Float64Array.from(usable, ({ y }) => y - centre),
    v: Float64Array.from(usable, ({ v }) => v),
    centre,
    columns,
    blocks: blocksOf(usable, people, columns),
    juniorShare,
  };
}

export const juniorness = (group: DriverRow['group'], share: number) =>
  group === 'junior' ? 1 : group === 'adult' ? 0 : share;

function shareOfJuniors(drivers: readonly DriverRow[]): number {
  const said = drivers.filter(({ group }) => group !== null);
  return (said.filter(({ group }) => group === 'junior').length + 0.5) / (said.length + 1);
}

export function attendanceOf(rows: Iterable<{ readonly driver: string; readonly night: number }>): Attendance {
  const nights = new Map<string, Set<number>>();
  for (const { driver, night } of rows) {
    if (!Number.isFinite(night)) continue;
    const own = nights.get(driver);
    if (own) own.add(night);
    else nights.set(driver, new Set([night]));
  }
  return new Map([...nights].map(([driver, own]) => [driver, [...own].sort((a, b) => a - b)]));
}

interface Person {
  readonly junior: number;
  readonly groupKnown: boolean;
  readonly attended: ReadonlyMap<number, number>;
}

const byText = (a: string, b: string) => (a < b ? -1 : a > b ? 1 : 0);
const compare = (a: HeatRow, b: HeatRow) =>
  byText(a.driver, b.driver) ||
  a.night - b.night ||
  byText(a.carClass, b.carClass) ||
  a.startS - b.startS ||
  byText(a.heat, b.heat);

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
function told(rows: readonly HeatRow[], people: ReadonlyMap<string, Person>, full: ClubColumns): ClubColumns {
  const fixed = full.firstGrip;
  const gram = new Float64Array(fixed * fixed);
  const write = rowWriter(full, people);
  for (const row of rows) {
    const entries = write(row).filter(([column]) => column < fixed);
    for (const [i, a] of entries)
      for (const [j, b] of entries) gram[i * fixed + j] = (gram[i * fixed + j] as number) + a * b;
  }
  const dependent = dependentColumns(gram, fixed);
  let next = 0;
  const place = dependent.map((left) => (left ? null : next++));
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

type Entry = readonly [column: number, value: number];

/** The entries of a heat in the shared columns, zeros of its track's lanes included. */
function rowWriter(columns: ClubColumns, people: ReadonlyMap<string, Person>): (row: HeatRow) => Entry[] {
  const classAt = new Map(columns.classes.map((name, i) => [name, columns.ofClass[i] ?? null]));
  const trackAt = new Map(columns.tracks.map((name, i) => [name, columns.ofTrack[i] ?? null]));
  const gripAt = new Map(
    columns.grips.map(({ night, track }, i) => [gripKey(night, track), columns.firstGrip + columns.perGrip * i]),
  );
  return ({ night, track, lane, driver, carClass, startS }) => {
    const entries: Entry[] = [];
    const put = (column: number | null | undefined, value: number) => {
      if (column !== null && column !== undefined) entries.push([column, value]);
    };
    const person = people.get(driver) as Person;
    put(classAt.get(carClass), 1);
    put(trackAt.get(track), 1);
    const lanes = columns.lanes.get(track) ?? [];
    const number = lanes.indexOf(lane);
    for (const [i, column] of (columns.ofLane.get(track) ?? []).entries())
      put(column, number === lanes.length - 1 ? -1 : number === i ? 1 : 0);
    put(columns.junior, person.junior);
    put(columns.learning, person.junior * learningAt(person.attended.get(night) ?? 0));
    const drift = driftAt(startS);
    put(columns.drift, -drift);
    const grip = gripAt.get(gripKey(night, track)) as number;
    put(grip, 1);
    if (columns.perGrip === 2) put(grip + 1, -drift);
    return entries;
  };
}

function blocksOf(rows: readonly HeatRow[], people: ReadonlyMap<string, Person>, columns: ClubColumns): DriverBlock[] {
  const write = rowWriter(columns, people);
  const classAt = new Map(columns.classes.map((name, i) => [name, i]));
  const blocks: DriverBlock[] = [];
  for (let from = 0; from < rows.length; ) {
    const { driver } = rows[from] as HeatRow;
    let to = from;
    while (to < rows.length && rows[to]?.driver === driver) to++;
    const entries = rows.slice(from, to).map(write);
    const own = [...new Set(entries.flat().map(([column]) => column))].sort((a, b) => a - b);
    const place = new Map(own.map((column, i) => [column, i]));
    const person = people.get(driver) as Person;
    const cells: { night: number; carClass: string; from: number; touched: number[] }[] = [];
    const values: number[] = [];
    const valuesFrom: number[] = [];
    const firstCell = new Int32Array(own.length).fill(-1);
    for (let i = from; i < to; i++) {
      const { night, carClass } = rows[i] as HeatRow;
      const last = cells.at(-1);
      if (last?.night !== night || last.carClass !== carClass) {
        const inCell = (row: HeatRow | undefined) =>
          row !== undefined && row.driver === driver && row.night === night && row.carClass === carClass;
        const touched = new Set<number>();
        for (let j = i; inCell(rows[j]); j++)
          for (const [column] of entries[j - from] as Entry[]) touched.add(place.get(column) as number);
        for (const t of touched) if (firstCell[t] === -1) firstCell[t] = cells.length;
        cells.push({ night, carClass, from: i, touched: [...touched].sort((a, b) => a - b) });
        valuesFrom.push(values.length);
      }
      const rowEntries = new Map((entries[i - from] as Entry[]).map(([column, value]) => [place.get(column), value]));
      for (const t of cells.at(-1)?.touched ?? []) values.push(rowEntries.get(t) ?? 0);
    }
    const attended = Float64Array.from(cells, ({ night }) => person.attended.get(night) ?? 0);
    const touchedFrom = [0];
    for (const { touched } of cells) touchedFrom.push((touchedFrom.at(-1) as number) + touched.length);
    blocks.push({
      driver,
      junior: person.junior,
      groupKnown: person.groupKnown,
      cells: cells.length,
      attended,
      learning: attended.map((k) => person.junior * learningAt(k)),
      night: Float64Array.from(cells, ({ night }) => night),
      carClass: Int32Array.from(cells, ({ carClass }) => classAt.get(carClass) as number),
      rowFrom: Int32Array.from([...cells.map((cell) => cell.from), to]),
      columns: Int32Array.from(own),
      firstCell,
      touched: Int32Array.from(cells.flatMap(({ touched }) => touched)),
      touchedFrom: Int32Array.from(touchedFrom),
      values: Float64Array.from(values),
      valuesFrom: Int32Array.from(valuesFrom),
    });
    from = to;
  }
  return blocks;
}
