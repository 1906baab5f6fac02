import type { Random } from '../../shared/random.ts';
import { shuffle } from './annealing.ts';
import { colour, fewestHeatsFor } from './needs-colouring.ts';
import { NightHeats } from './needs-heats.ts';
import type { DrawTask, Seats } from './task.ts';

/** The night before a search changes it: heats run, the announced one where it is kept, and legal heats after them. */
export interface NightStart {
  readonly night: NightHeats;
  /** The first heat that may change. */
  readonly from: number;
}

/**
 * Legal heats for all runs owed.
 *
 * @param task with needs
 * @param random shuffles the runs, so that every call starts elsewhere
 * @throws RangeError when the runs need more heats than the task has
 */
export function startNight(task: DrawTask, random: Random): NightStart {
  const lanes = task.lanes.length;
  const needs = task.needs ?? [];
  const ran = task.done.length;
  const night = nightSoFar(task);
  const kept = keptHeat(task);
  const runs: number[] = [];
  for (const [d, row] of needs.entries()) {
    for (const [l, owed] of row.entries()) {
      for (let i = kept?.[l] === d ? 1 : 0; i < owed; i += 1) runs.push(d * lanes + l);
    }
  }
  for (const [l, driver] of (kept ?? []).entries()) if (driver >= 0) night.put(ran, l, driver);
  const from = ran + (kept ? 1 : 0);
  shuffle(runs, random);
  colour(night, from, runs);
  return { night, from };
}

/** The heats run, and empty ones after them. */
export function nightSoFar(task: DrawTask): NightHeats {
  const lanes = task.lanes.length;
  const night = new NightHeats(task.drivers, lanes, task.done.length + task.heats);
  for (const [h, row] of task.done.entries()) {
    for (const [l, driver] of row.entries()) if (driver >= 0) night.put(h, Math.min(l, lanes), driver);
  }
  return night;
}

/** The night with these heats after those that were run. */
export function nightWith(task: DrawTask, seats: Seats): NightHeats {
  const night = nightSoFar(task);
  for (const [i, driver] of seats.entries()) {
    if (driver >= 0) night.put(task.done.length + Math.floor(i / night.lanes), i % night.lanes, driver);
  }
  return night;
}

/**
 * The next announced heat where it can stay as it is: nobody of it is lost, everybody on it still owes that run, and the
 * runs after it fit into the other heats without one of them getting larger than it must be anyway.
 */
export function keptHeat(task: DrawTask): readonly number[] | null {
  const row = task.published[0];
  const needs = task.needs;
  if (!row || !needs || task.heats < 1) return null;
  const width = task.lanes.length;
  if (row.length !== width || row.every((seat) => seat < 0)) return null;
  if (row.some((seat, l) => seat < -1 || (seat >= 0 && (needs[seat]?.[l] ?? 0) < 1))) return null;
  if (new Set(row.filter((seat) => seat >= 0)).size < row.filter((seat) => seat >= 0).length) return null;
  const rest = needs.map((own, d) => own.map((runs, l) => runs - (row[l] === d ? 1 : 0)));
  const all = task.runs.reduce((sum, runs) => sum + runs, 0);
  const largest = Math.ceil(all / task.heats);
  // Announced before there was a cap on the cars, or for fewer heats.
  if (row.filter((seat) => seat >= 0).length > largest) return null;
  return fewestHeatsFor(rest, largest) <= task.heats - 1 ? row : null;
}
