import type { Shape } from './shape.ts';
import type { Seats } from './task.ts';
import { leastSquares, type Weights } from './weights.ts';

/** Figures of a whole draw; sums of squares run over pairs, or over ordered pairs for take-overs. */
export interface Figures {
  readonly pairSquares: number;
  readonly backToBack: number;
  readonly longSitOuts: number;
  readonly neighbourSquares: number;
  readonly carryOverSquares: number;
  readonly offMidNight: number;
}

/** Sit-outs up to so many heats cost nothing: one more than everybody needs when all take turns. */
export function longSitOut(shape: Pick<Shape, 'drivers' | 'heats' | 'seats'>): number {
  const cars = Math.max(1, Math.ceil(shape.seats / shape.heats));
  return Math.ceil(shape.drivers / cars) + 1;
}

/** Counts everything anew: the yardstick that the quicker, incremental searches are compared by. */
export function figuresOf(seats: Seats, shape: Shape): Figures {
  const { drivers, width, heats, runs, beside } = shape;
  const met = new Int32Array(drivers * drivers);
  const sideBySide = new Int32Array(drivers * drivers);
  const tookOver = new Int32Array(drivers * drivers);
  const last = new Int32Array(drivers).fill(-1);
  const numbers = new Int32Array(drivers);
  const allowed = longSitOut(shape);
  const excess = (sitOut: number) => Math.max(0, sitOut - allowed) ** 2;
  let backToBack = 0;
  let longSitOuts = 0;
  for (let h = 0; h < heats; h++) {
    for (let l = 0; l < width; l++) {
      const a = seats[h * width + l] as number;
      if (a === -1) continue;
      for (let m = l + 1; m < width; m++) {
        const b = seats[h * width + m] as number;
        if (b === -1) continue;
        const pair = a < b ? a * drivers + b : b * drivers + a;
        (met[pair] as number)++;
        if (m === l + 1 && beside[l] === 1) (sideBySide[pair] as number)++;
      }
      const next = h + 1 < heats ? (seats[(h + 1) * width + l] as number) : -1;
      if (next !== -1 && next !== a) (tookOver[a * drivers + next] as number)++;
      if (last[a] === h - 1 && h > 0) backToBack++;
      longSitOuts += excess(h - (last[a] as number) - 1);
      last[a] = h;
      numbers[a] = (numbers[a] as number) + h + 1;
    }
  }
  let offMidNight = 0;
  for (let d = 0; d < drivers; d++) {
    longSitOuts += excess(heats - (last[d] as number) - 1);
    offMidNight += Math.abs(2 * (numbers[d] as number) - (runs[d] as number) * (heats + 1));
  }
  return {
    pairSquares: sumOfSquares(met),
    backToBack,
    longSitOuts,
    neighbourSquares: sumOfSquares(sideBySide),
    carryOverSquares: sumOfSquares(tookOver),
    offMidNight,
  };
}

function sumOfSquares(counts: Int32Array): number {
  let sum = 0;
  for (const count of counts) sum += count * count;
  return sum;
}

/** Least sum over pairs of squared meetings: heats of equal size, pairs within one of each other. */
export function leastPairSquares(shape: Shape): number {
  const { heats, seats, drivers } = shape;
  const small = Math.floor(seats / heats);
  const large = seats - small * heats;
  const meetings = (large * (small + 1) * small + (heats - large) * small * (small - 1)) / 2;
  return leastSquares(meetings, (drivers * (drivers - 1)) / 2);
}

/** The objective, but for constants: see {@link Weights}. */
export function costOf(figures: Figures, weights: Weights): number {
  return (
    weights.pairs * figures.pairSquares +
    weights.backToBack * figures.backToBack +
    weights.sitOut * figures.longSitOuts +
    weights.neighbours * figures.neighbourSquares +
    weights.carryOver * figures.carryOverSquares +
    weights.midNight * figures.offMidNight
  );
}
