import type { DrawTask } from './task.ts';

/** What stays the same through a whole first draw. */
export interface Shape {
  readonly drivers: number;
  /** Number of lanes in use. */
  readonly width: number;
  readonly heats: number;
  /** Runs of each driver. */
  readonly runs: Int32Array;
  /** Runs of all drivers. */
  readonly seats: number;
  /** beside[l] = 1: lanes l and l + 1 are neighbours. */
  readonly beside: Uint8Array;
}

/**
 * @throws RangeError for a repair, and when no heats of this number can hold the runs
 */
export function shapeOf(task: DrawTask): Shape {
  const { drivers, lanes, heats } = task;
  if (task.needs !== null || task.done.length > 0) throw new RangeError('Only first draws have free lanes.');
  const runs = Int32Array.from(task.runs);
  const seats = runs.reduce((sum, r) => sum + r, 0);
  if (runs.length !== drivers || runs.some((r) => r < 0 || r > heats) || seats > heats * lanes.length) {
    throw new RangeError(`${heats} heats on ${lanes.length} lanes cannot hold these runs.`);
  }
  const beside = Uint8Array.from(lanes, (lane, l) => (lanes[l + 1] === lane + 1 ? 1 : 0));
  return { drivers, width: lanes.length, heats, runs, seats, beside };
}

/**
 * Who is in which heat, lanes left open: members[heat * width + i] for i below sizes[heat], then -1. Heats stand in the
 * order in which they are run.
 */
export interface HeatSets {
  readonly members: Int16Array;
  readonly sizes: Int16Array;
}

export function copySets(sets: HeatSets): HeatSets {
  return { members: sets.members.slice(), sizes: sets.sizes.slice() };
}

/**
 * Heats whose sizes differ by at most one, and nobody twice in a heat: run j of all, driver after driver, goes to heat
 * j modulo the number of heats (wrap-around; nobody has more runs than there are heats).
 */
export function wrappedSets(shape: Shape): HeatSets {
  const { drivers, width, heats, runs } = shape;
  const members = new Int16Array(heats * width).fill(-1);
  const sizes = new Int16Array(heats);
  for (let d = 0, j = 0; d < drivers; d++) {
    for (let r = 0; r < (runs[d] as number); r++, j++) {
      const h = j % heats;
      members[h * width + (sizes[h] as number)] = d;
      (sizes[h] as number)++;
    }
  }
  return { members, sizes };
}
