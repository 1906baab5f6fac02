import { drained } from '../shared/drained.ts';
import type { LapRow } from './lap-row.ts';

/** What is the same for all laps of one driver in one heat. */
export interface HeatOfDriver {
  readonly night: number;
  readonly heat: string;
  readonly startS: number;
  readonly track: string;
  readonly lane: number;
  readonly driver: string;
  readonly carClass: string;
}

export const noFlag = 0;
export const crashFlag = 1;

/**
 * Laps that may show pace, by driver and heat, in few bytes: about 13 a lap. Left out are laps from the standing start
 * (reaction time), laps into which a track call fell, and times no slot car drives.
 */
export interface LapTable {
  /** Ordered by night, start, track, heat, lane, driver, class. Heats without a usable lap are missing. */
  readonly heats: readonly HeatOfDriver[];
  /** The laps of `heats[i]` stand from `from[i]` up to `from[i + 1]`, in the order they were driven. */
  readonly from: Int32Array;
  /** Natural log of seconds. */
  readonly logS: Float64Array;
  /** Number of the lap in its heat. */
  readonly lap: Int32Array;
  /** `noFlag` or `crashFlag`. */
  readonly flag: Uint8Array;
}

/** Laps between two chances to stop: a few milliseconds. */
const lapsPerStep = 20_000;

/** Seconds outside of which a lap is a fault of timing or a pause, whatever the track. */
const shortestLapS = 0.1;
const longestLapS = 1200;

/** Whether a slot car can have driven a lap in so many seconds. */
export const isLapTime = (timeS: number): boolean => timeS >= shortestLapS && timeS <= longestLapS;

/** Reads laps once, in any order; laps whose numbers cannot be used are passed over. */
export const lapTable = (laps: Iterable<LapRow>): LapTable => drained(tablingLaps(laps));

/** `lapTable` step by step. */
export function* tablingLaps(laps: Iterable<LapRow>): Generator<void, LapTable> {
  const heats: HeatOfDriver[] = [];
  const indexOf = new Map<string, number>();
  const columns = new Columns();
  let last: LapRow | null = null;
  let index = -1;
  let read = 0;
  for (const row of laps) {
    if (++read % lapsPerStep === 0) yield;
    if (!isUsable(row)) continue;
    if (last === null || !sameHeat(row, last)) {
      const key = JSON.stringify([row.night, row.heat, row.track, row.lane, row.driver, row.carClass]);
      index = indexOf.get(key) ?? heats.push(heatOf(row)) - 1;
      indexOf.set(key, index);
      last = row;
    }
    columns.add(index, Math.log(row.timeS), row.lap, row.flag === 'crash' ? crashFlag : noFlag);
  }
  yield;
  return yield* ordering(heats, columns);
}

const isUsable = ({ night, lane, lap, timeS, flag }: LapRow) =>
  flag !== 'call' &&
  isLapTime(timeS) &&
  Number.isSafeInteger(lap) &&
  lap > 1 &&
  Number.isFinite(night) &&
  Number.isFinite(lane);

const sameHeat = (a: LapRow, b: LapRow) =>
  a.driver === b.driver &&
  a.lane === b.lane &&
  a.heat === b.heat &&
  a.night === b.night &&
  a.track === b.track &&
  a.carClass === b.carClass;

const heatOf = ({ night, heat, startS, track, lane, driver, carClass }: LapRow): HeatOfDriver => ({
  night,
  heat,
  startS: Number.isFinite(startS) ? startS : 0,
  track,
  lane,
  driver,
  carClass,
});

/** Columns that grow by doubling. */
class Columns {
  count = 0;
  heat = new Int32Array(1024);
  logS = new Float64Array(1024);
  lap = new Int32Array(1024);
  flag = new Uint8Array(1024);

  add(heat: number, logS: number, lap: number, flag: number) {
    if (this.count === this.heat.length) this.#grow();
    this.heat[this.count] = heat;
    this.logS[this.count] = logS;
    this.lap[this.count] = lap;
    this.flag[this.count] = flag;
    this.count++;
  }

  #grow() {
    const length = 2 * this.count;
    const { heat, logS, lap, flag } = this;
    this.heat = new Int32Array(length);
    this.logS = new Float64Array(length);
    this.lap = new Int32Array(length);
    this.flag = new Uint8Array(length);
    this.heat.set(heat);
    this.logS.set(logS);
    this.lap.set(lap);
    this.flag.set(flag);
  }
}

/** Puts heats in order and the laps of each together, by a counting sort. */
function* ordering(heats: HeatOfDriver[], columns: Columns): Generator<void, LapTable> {
  const order = heats.map((_, i) => i).sort((i, j) => compare(heats[i] as HeatOfDriver, heats[j] as HeatOfDriver));
  yield;
  const placeOf = new Int32Array(heats.length);
  order.forEach((index, place) => {
    placeOf[index] = place;
  });
  const from = new Int32Array(heats.length + 1);
  const { count } = columns;
  for (let i = 0; i < count; i++) from[at(placeOf, at(columns.heat, i)) + 1]!++;
  for (let h = 0; h < heats.length; h++) from[h + 1]! += at(from, h);
  const next = from.slice(0, heats.length);
  const logS = new Float64Array(count);
  const lap = new Int32Array(count);
  const flag = new Uint8Array(count);
  for (let i = 0; i < count; i++) {
    if (i % lapsPerStep === 0) yield;
    const place = at(placeOf, at(columns.heat, i));
    let slot = next[place]!++;
    // Laps nearly always come in order: moving a late one down costs nothing then.
    const start = at(from, place);
    const number = at(columns.lap, i);
    for (; slot > start && at(lap, slot - 1) > number; slot--) {
      lap[slot] = at(lap, slot - 1);
      logS[slot] = at(logS, slot - 1);
      flag[slot] = at(flag, slot - 1);
    }
    lap[slot] = number;
    logS[slot] = at(columns.logS, i);
    flag[slot] = at(columns.flag, i);
  }
  return { heats: order.map((index) => heats[index] as HeatOfDriver), from, logS, lap, flag };
}

const at = (list: Int32Array | Float64Array | Uint8Array, i: number) => list[i] as number;

const byText = (a: string, b: string) => (a < b ? -1 : a > b ? 1 : 0);

const compare = (a: HeatOfDriver, b: HeatOfDriver) =>
  a.night - b.night ||
  a.startS - b.startS ||
  byText(a.track, b.track) ||
  byText(a.heat, b.heat) ||
  a.lane - b.lane ||
  byText(a.driver, b.driver) ||
  byText(a.carClass, b.carClass);
