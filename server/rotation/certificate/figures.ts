import type { SeatRows } from './counted-night.ts';

/** How often each two of n drivers have something in common: a table of n x n counts. */
export class PairCounts {
  readonly drivers: number;
  readonly #table: Int32Array;

  constructor(drivers: number, pairs: Iterable<Pair>) {
    this.drivers = drivers;
    this.#table = new Int32Array(drivers * drivers);
    for (const [a, b] of pairs) this.#table[a * drivers + b] = (this.#table[a * drivers + b] ?? 0) + 1;
  }

  /** Count of the ordered pair. */
  ordered(a: number, b: number): number {
    return this.#table[a * this.drivers + b] ?? 0;
  }

  /** Count of the pair in either order. */
  either(a: number, b: number): number {
    return this.ordered(a, b) + this.ordered(b, a);
  }

  /** Counts of all pairs in either order for which `wanted` holds. */
  eitherCounts(wanted: (a: number, b: number) => boolean = () => true): number[] {
    const counts: number[] = [];
    for (let a = 0; a < this.drivers; a++) {
      for (let b = a + 1; b < this.drivers; b++) if (wanted(a, b)) counts.push(this.either(a, b));
    }
    return counts;
  }

  /** Counts of all ordered pairs of two drivers for which `wanted` holds. */
  orderedCounts(wanted: (a: number, b: number) => boolean = () => true): number[] {
    const counts: number[] = [];
    for (let a = 0; a < this.drivers; a++) {
      for (let b = 0; b < this.drivers; b++) if (a !== b && wanted(a, b)) counts.push(this.ordered(a, b));
    }
    return counts;
  }
}

type Pair = readonly [first: number, second: number];

/** Every two drivers of each heat. */
export function* meetingsOf(rows: SeatRows): Generator<Pair> {
  for (const row of rows) {
    const driving = row.filter((d) => d >= 0);
    for (const [i, a] of driving.entries()) for (const b of driving.slice(i + 1)) yield [a, b];
  }
}

/** Every two drivers on lanes side by side. */
export function* sideBySideOf(rows: SeatRows): Generator<Pair> {
  for (const row of rows) {
    for (const [l, right] of row.entries()) {
      const left = row[l - 1] ?? -1;
      if (left >= 0 && right >= 0) yield [left, right];
    }
  }
}

/** Every driver with the other one who takes over the lane in the very next heat. */
export function* takeOversOf(rows: SeatRows): Generator<Pair> {
  for (const [h, row] of rows.entries()) {
    for (const [l, after] of row.entries()) {
      const before = rows[h - 1]?.[l] ?? -1;
      if (before >= 0 && after >= 0 && before !== after) yield [before, after];
    }
  }
}

/** Runs in the heat straight after the same driver's last one. */
export function backToBacksIn(rows: SeatRows): number {
  return rows.reduce((sum, row, h) => sum + row.filter((d) => d >= 0 && rows[h - 1]?.includes(d)).length, 0);
}

/** Most heats in a row without a run, from heat number `from` up to `heats`, both ends of the night included. */
export function longestWait(heatsRun: readonly number[], from: number, heats: number): number {
  const ends = [...heatsRun, heats];
  return Math.max(0, ...ends.map((h, i) => h - (heatsRun[i - 1] ?? from - 1) - 1));
}

/** |2 x sum of heat numbers from 1 - runs x (heats + 1)|: twice how far the runs lie off mid-night, summed up. */
export function offMidNight(heatsRun: readonly number[], heats: number): number {
  const sum = heatsRun.reduce((total, h) => total + h + 1, 0);
  return Math.abs(2 * sum - heatsRun.length * (heats + 1));
}

/** Largest difference between somebody's runs on two lanes in use, among the drivers given. */
export function laneSpread(rows: SeatRows, drivers: readonly number[], lanes: readonly number[]): number {
  const spreads = drivers.map((d) => {
    const runs = laneRuns(rows, d, lanes);
    return Math.max(...runs) - Math.min(...runs);
  });
  return Math.max(0, ...spreads);
}

/** Runs of one driver on each of the lanes. */
export function laneRuns(rows: SeatRows, driver: number, lanes: readonly number[]): number[] {
  return lanes.map((lane) => rows.filter((row) => row[lane - 1] === driver).length);
}

/**
 * Sum over pairs of (meetings - target)^2 in hundredths, rounded; targets t = c x runs of one x runs of the other, with
 * c so that targets add up to all meetings. Exact: the sum has the common denominator (sum of products)^2.
 */
export function deviationHundredths(meetings: PairCounts, runs: readonly number[]): number {
  let products = 0n;
  let squaredProducts = 0n;
  let met = 0n;
  let metSquares = 0n;
  let mixed = 0n;
  for (let a = 0; a < meetings.drivers; a++) {
    for (let b = a + 1; b < meetings.drivers; b++) {
      const m = BigInt(meetings.either(a, b));
      const product = BigInt((runs[a] ?? 0) * (runs[b] ?? 0));
      products += product;
      squaredProducts += product * product;
      met += m;
      metSquares += m * m;
      mixed += m * product;
    }
  }
  if (products === 0n) return 0;
  const numerator = metSquares * products ** 2n - 2n * met * products * mixed + met ** 2n * squaredProducts;
  return Number((200n * numerator + products ** 2n) / (2n * products ** 2n));
}
