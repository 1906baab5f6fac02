import type { HeatRow } from './heat-row.ts';
import { driftAt } from './night-drift.ts';
import { dependentColumns } from './numeric/matrix.ts';

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

/** What the shared effects need to know of a driver. */
export interface Person {
  readonly junior: number;
  readonly groupKnown: boolean;
  readonly attended: ReadonlyMap<number, number>;
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

export const byText = (a: string, b: string) => (a < b ? -1 : a > b ? 1 : 0);

/** The columns of these heats, effects that cannot be told included. */
export function allColumns(rows: readonly HeatRow[], terms: ClubTerms): ClubColumns {
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
export function* telling(
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
export class RowWriter {
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
