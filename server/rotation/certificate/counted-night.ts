import type { Driver, Seat } from '../rotation.ts';
import type { Night } from './certify.ts';
import { sumOf } from './squares.ts';

/** Heats as lists of seats by lane of the track: an index of a driver, or -1 for an empty lane. */
export type SeatRows = readonly (readonly number[])[];

/** A night in numbers. Drivers are indices from 0: first those of the night, then others seated in heats done. */
export interface CountedNight {
  readonly done: SeatRows;
  readonly next: SeatRows;
  /** Lane numbers in use, rising. */
  readonly lanes: readonly number[];
  /** By driver: runs in the heats done, and in those to come. */
  readonly doneRuns: readonly number[];
  readonly nextRuns: readonly number[];
  /** By driver: still races, or is there to the end. */
  readonly racing: readonly boolean[];
  /** By driver: came after the heats done. */
  readonly late: readonly boolean[];
  readonly doneSizes: readonly number[];
  readonly nextSizes: readonly number[];
  /** Heats to come differ by at most one car. */
  readonly evenSizes: boolean;
  /** The most cars that a heat to come holds when heats are as equal as possible; else the most it may hold. */
  readonly mostCars: number;
}

/** @throws RangeError when a heat to come seats somebody who is not among the drivers */
export function countNight(night: Night): CountedNight {
  const { drivers, heats, lanesOut = [], leave = [], late = [], carsPerHeat = null } = night;
  const indexOf = new Map(drivers.map((driver, i) => [driver, i]));
  for (const seat of heats.flat()) {
    if (seat !== null && !indexOf.has(seat)) throw new RangeError(`${seat} is seated but not among the drivers`);
  }
  for (const seat of night.done?.flat() ?? []) {
    if (seat !== null && !indexOf.has(seat)) indexOf.set(seat, indexOf.size);
  }
  const rows = (given: readonly (readonly Seat[])[]) =>
    given.map((row) => row.map((seat) => (seat === null ? -1 : (indexOf.get(seat) as number))));
  const done = rows(night.done ?? []);
  const next = rows(heats);
  const everybody = [...indexOf.keys()];
  const nextRuns = runsIn(next, everybody.length);
  const gone = new Set<Driver>([...leave, ...everybody.slice(drivers.length)]);
  const racing = everybody.map((driver, d) => !gone.has(driver) || nextRuns[d] !== 0);
  const lanes = Array.from({ length: night.lanes }, (_, l) => l + 1).filter((lane) => !lanesOut.includes(lane));
  const nextSizes = next.map(sizeOf);
  const evenSizes = next.length === 0 || Math.max(...nextSizes) - Math.min(...nextSizes) <= 1;
  const allowed = Math.min(lanes.length, racing.filter(Boolean).length, carsPerHeat ?? lanes.length);
  return {
    done,
    next,
    lanes,
    doneRuns: runsIn(done, everybody.length),
    nextRuns,
    racing,
    late: everybody.map((driver) => late.includes(driver)),
    doneSizes: done.map(sizeOf),
    nextSizes,
    evenSizes,
    mostCars: evenSizes ? Math.ceil(sumOf(nextSizes) / Math.max(1, next.length)) : Math.max(allowed, ...nextSizes),
  };
}

/** All heats of the night in order. */
export const allHeats = (night: CountedNight): SeatRows => [...night.done, ...night.next];

/** Numbers 0.. of the heats of each driver, in all heats given. */
export function heatsOfDrivers(rows: SeatRows, drivers: number): number[][] {
  const heats: number[][] = Array.from({ length: drivers }, () => []);
  for (const [h, row] of rows.entries()) for (const d of row) heats[d]?.push(h);
  return heats;
}

const sizeOf = (row: readonly number[]) => row.filter((d) => d >= 0).length;

function runsIn(rows: SeatRows, drivers: number): number[] {
  const runs = Array<number>(drivers).fill(0);
  for (const d of rows.flat()) if (d >= 0) runs[d] = (runs[d] ?? 0) + 1;
  return runs;
}
