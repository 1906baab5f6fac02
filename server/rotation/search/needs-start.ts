import type { Random } from '../../shared/random.ts';
import { colour, fewestHeatsFor } from './needs-colouring.ts';
import { NightHeats } from './needs-heats.ts';
import type { DrawTask } from './task.ts';

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
  const night = new NightHeats(task.drivers, lanes, ran + task.heats);
  for (const [h, row] of task.done.entries()) {
    for (const [l, driver] of row.entries()) if (driver >= 0) night.put(h, Math.min(l, lanes), driver);
  }
  const kept = keptHeat(task);
  const edges: [number, number][] = [];
  for (const [d, row] of needs.entries()) {
    for (const [l, runs] of row.entries()) {
      for (let i = kept?.[l] === d ? 1 : 0; i < runs; i += 1) edges.push([d, l]);
    }
  }
  for (const [l, driver] of (kept ?? []).entries()) if (driver >= 0) night.put(ran, l, driver);
  const from = ran + (kept ? 1 : 0);
  colour(night, from, shuffled(edges, random));
  return { night, from };
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
  return fewestHeatsFor(rest, largest) <= task.heats - 1 ? row : null;
}

function shuffled<T>(list: readonly T[], random: Random): T[] {
  const mixed = [...list];
  for (let i = mixed.length - 1; i > 0; i -= 1) {
    const j = Math.floor(random.unit() * (i + 1));
    [mixed[i], mixed[j]] = [mixed[j] as T, mixed[i] as T];
  }
  return mixed;
}
