/**
 * What one search has to find, in small numbers: drivers, lanes in use and heats are indices from 0. A seat is a driver
 * index or -1.
 */
export interface DrawTask {
  /** Number of drivers who race on. */
  readonly drivers: number;
  /** Lane numbers of the track in use, rising: index l here stands for lane number lanes[l]. Neighbours are numbers that
   * differ by one. */
  readonly lanes: readonly number[];
  /** Heats that were run, oldest first, one seat a lane in use, then (in any number) those who ran on lanes that are out
   * of use now. The seat of a driver who left is -1. */
  readonly done: readonly (readonly number[])[];
  /** Heats to come as they were announced, in the same form: worth keeping, not needed. Who was announced and cannot
   * run there (they left, or the lane is out of use) is `lostSeat`. */
  readonly published: readonly (readonly number[])[];
  /** Runs that each driver still gets. */
  readonly runs: readonly number[];
  /** Runs still owed, needs[driver][lane]; rows add up to `runs`. Null: lanes are free as long as the lane counts of a
   * driver differ by at most one; only where `done` is empty. */
  readonly needs: readonly (readonly number[])[] | null;
  /** Heats to draw; their sizes differ by at most one. */
  readonly heats: number;
  /** What counts more; the weights stand in `weights.ts`. */
  readonly preset: 'opponents' | 'rest' | 'balanced';
  readonly seed: number;
  /** Length of the search in units of work, see `stepsFor`: never a clock, so that every machine finds the same. */
  readonly steps: number;
}

/** An announced seat that is lost, see `DrawTask.published`. */
export const lostSeat = -2;

/** Heats as a search holds them: seats[heat * lanes + lane], a driver index or -1. */
export type Seats = Int16Array;

/** How far a search is. */
export interface SearchProgress {
  /** Units of work done, of `DrawTask.steps`. */
  readonly done: number;
  /** The best legal heats so far when they are better than at the last progress, else null. The first progress always
   * carries heats. */
  readonly better: Seats | null;
}

/**
 * A search: yields often (a few ms of work apart) and ends with the best heats it found. The same task gives the same
 * progress and the same end everywhere; stopping early at a progress gives the heats reported last.
 */
export type Search = Generator<SearchProgress, Seats>;

/** Units of work in a millisecond of one core of a small machine; measured by `npm run bench`. */
export const stepsPerMs = 1000;

/** @param budgetMs length of the search asked for, in milliseconds */
export function stepsFor(budgetMs: number): number {
  return Math.max(1, Math.round(budgetMs * stepsPerMs));
}
