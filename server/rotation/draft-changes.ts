import type { Driver, Seat } from './rotation.ts';

/** One run: the number of the heat in its race, and the lane. */
export interface Run {
  readonly heat: number;
  readonly lane: number;
}

/** A run that is another one now; null: it comes new, or it is gone. */
export interface RunChange {
  readonly from: Run | null;
  readonly to: Run | null;
}

/** What a new draw changes for one driver. */
export interface DriverChange {
  readonly driver: Driver;
  readonly changes: readonly RunChange[];
}

/** Heats by their numbers, one seat a lane (index lane - 1). */
export interface NumberedHeat {
  readonly ordinal: number;
  readonly seats: readonly Seat[];
}

/**
 * What changes for whom when heats take the place of others. Runs that stay are no change; of the others first those in
 * the same heat belong together, then those that are left, in their order.
 *
 * @param drivers whose changes are asked for, in the order of the answer; those with none are left out of it
 */
export function draftChanges(
  drivers: readonly Driver[],
  before: readonly NumberedHeat[],
  after: readonly NumberedHeat[],
): DriverChange[] {
  const was = runsByDriver(before);
  const is = runsByDriver(after);
  return drivers
    .map((driver) => ({ driver, changes: changesOf(was.get(driver) ?? [], is.get(driver) ?? []) }))
    .filter(({ changes }) => changes.length > 0);
}

function changesOf(before: readonly Run[], after: readonly Run[]): RunChange[] {
  const same = (a: Run, b: Run) => a.heat === b.heat && a.lane === b.lane;
  const gone = before.filter((run) => !after.some((other) => same(run, other)));
  const fresh = after.filter((run) => !before.some((other) => same(run, other)));
  const changes: RunChange[] = [];
  for (const from of [...gone]) {
    const at = fresh.findIndex((run) => run.heat === from.heat);
    if (at < 0) continue;
    changes.push({ from, to: fresh[at] as Run });
    gone.splice(gone.indexOf(from), 1);
    fresh.splice(at, 1);
  }
  for (let i = 0; i < Math.max(gone.length, fresh.length); i += 1) {
    changes.push({ from: gone[i] ?? null, to: fresh[i] ?? null });
  }
  const place = ({ from, to }: RunChange) => (to ?? from)?.heat ?? 0;
  return changes.sort((a, b) => place(a) - place(b));
}

function runsByDriver(heats: readonly NumberedHeat[]): Map<Driver, Run[]> {
  const runs = new Map<Driver, Run[]>();
  for (const { ordinal, seats } of heats) {
    for (const [l, driver] of seats.entries()) {
      if (driver === null) continue;
      const own = runs.get(driver) ?? [];
      own.push({ heat: ordinal, lane: l + 1 });
      runs.set(driver, own);
    }
  }
  return runs;
}

/** Lanes (numbers) of a heat on which somebody else is now than before; all that are taken in a heat that is new. */
export function changedLanes(before: NumberedHeat | undefined, after: NumberedHeat): number[] {
  return after.seats.flatMap((driver, l) => (driver !== null && before?.seats[l] !== driver ? [l + 1] : []));
}
