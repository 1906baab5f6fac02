import { chooseNeeds } from './repair-needs.ts';
import type { DrawRequest, Driver, Seat } from './rotation.ts';
import { fewestHeatsFor } from './search/needs-colouring.ts';
import { type DrawTask, lostSeat, type Seats, stepsFor } from './search/task.ts';

/** What is left to draw after heats were run, people left or people came. */
export interface Repair {
  readonly task: DrawTask;
  /** Who races on: the driver of each index of the task. */
  readonly drivers: readonly Driver[];
  /** The fewest heats in which everything owed can be run. */
  readonly fewestHeats: number;
}

/** `too many heats`: there are not enough runs to fill the heats asked for. */
export type RepairProblem = { readonly code: 'too many heats'; readonly heats: number; readonly most: number };

/** True where a request is about a night that has begun. */
export function isRepair(request: DrawRequest): boolean {
  const { done, published, leave, join } = request;
  return done.length + published.length + leave.length + join.length > 0;
}

/**
 * Turns a request into what a search can find.
 *
 * Everybody who races on owes `runsPerLane` (who comes late: their own number) runs on each lane in use, less those made
 * in `done`. With `heats` at least the fewest that this needs, the runs owed are spread over that many heats where that
 * fills them; else runs are chosen that fill the heats and, with what was run, make runs and lane counts even.
 *
 * @param request a request that `parseDrawRequest` accepts; void heats are not in its `done`
 */
export function repairTask(
  request: DrawRequest,
): { readonly ok: true; readonly repair: Repair } | { readonly ok: false; readonly problem: RepairProblem } {
  const out = new Set(request.lanesOut);
  const lanes = Array.from({ length: request.lanes }, (_, l) => l + 1).filter((lane) => !out.has(lane));
  const gone = new Set(request.leave);
  const late = request.join.filter((one) => !gone.has(one.driver));
  const drivers = [...request.drivers.filter((driver) => !gone.has(driver)), ...late.map((one) => one.driver)];
  const indexOf = new Map(drivers.map((driver, d) => [driver, d]));
  const done = request.done.map((row) => doneRow(row, lanes, indexOf));

  const made = drivers.map((_, d) => lanes.map((_, l) => done.filter((row) => row[l] === d).length));
  const firstLate = drivers.length - late.length;
  const owed = drivers.map((_, d) => {
    const joined = late[d - firstLate];
    const wanted = joined?.runsPerLane ?? request.runsPerLane;
    return lanes.map((_, l) => Math.max(0, wanted - (made[d]?.[l] as number)));
  });
  const cars = Math.min(lanes.length, drivers.length, request.carsPerHeat ?? lanes.length);
  const fewestHeats = fewestHeatsFor(owed, cars);
  const runsMade = drivers.map((_, d) => done.filter((row) => row.includes(d)).length);
  const heats = request.heats ?? fewestHeats;
  const needs = heats === fewestHeats ? owed : chooseNeeds({ owed, made, runsMade, heats, cars, fewestHeats });
  const runs = needs.map((row) => row.reduce((sum, count) => sum + count, 0));
  const all = runs.reduce((sum, count) => sum + count, 0);
  if (all < heats) return { ok: false, problem: { code: 'too many heats', heats, most: all } };
  return {
    ok: true,
    repair: {
      task: {
        drivers: drivers.length,
        lanes,
        done,
        published: request.published.map((row) => publishedRow(row, lanes, indexOf)),
        runs,
        needs,
        heats,
        preset: request.preset === 'rest' || request.preset === 'balanced' ? request.preset : 'opponents',
        seed: request.seed,
        steps: stepsFor(request.budgetMs),
      },
      drivers,
      fewestHeats,
    },
  };
}

/** What a search found, by driver and lane of the track. */
export function repairedHeats(repair: Repair, found: Seats, lanesOfTrack: number): Seat[][] {
  const { lanes, heats } = repair.task;
  return Array.from({ length: heats }, (_, h) => {
    const seats = Array<Seat>(lanesOfTrack).fill(null);
    for (const [l, lane] of lanes.entries()) {
      const driver = found[h * lanes.length + l] as number;
      if (driver >= 0) seats[lane - 1] = repair.drivers[driver] as Driver;
    }
    return seats;
  });
}

function doneRow(row: readonly Seat[], lanes: readonly number[], indexOf: ReadonlyMap<Driver, number>): number[] {
  const index = (seat: Seat | undefined) => (seat == null ? -1 : (indexOf.get(seat) ?? -1));
  const elsewhere = row.filter((_, l) => !lanes.includes(l + 1)).map(index);
  return [...lanes.map((lane) => index(row[lane - 1])), ...elsewhere.filter((driver) => driver >= 0)];
}

function publishedRow(row: readonly Seat[], lanes: readonly number[], indexOf: ReadonlyMap<Driver, number>): number[] {
  const index = (seat: Seat | undefined) => (seat == null ? -1 : (indexOf.get(seat) ?? lostSeat));
  const elsewhere = row.filter((seat, l) => seat !== null && !lanes.includes(l + 1));
  return [...lanes.map((lane) => index(row[lane - 1])), ...elsewhere.map(() => lostSeat)];
}
