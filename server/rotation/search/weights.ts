import type { Shape } from './shape.ts';
import type { DrawTask } from './task.ts';

/**
 * What an excess over the least possible costs. The objective is a sum of whole numbers:
 *
 *   pairs      x (sum over pairs of squared meetings - least) / 2
 * + backToBack x runs in the heat straight after the same driver's last one
 * + sitOut     x sum over sit-outs longer than `longSitOut` heats of the squared excess
 * + neighbours x (sum over pairs of squared heats side by side - least) / 2
 * + carryOver  x (sum over ordered pairs of squared take-overs of a lane - least) / 2
 * + midNight   x sum over drivers of |2 x sum of heat numbers - runs x (heats + 1)|
 *
 * Sums of squares of a fixed total move in steps of two, hence the halves.
 */
export interface Weights {
  readonly pairs: number;
  readonly backToBack: number;
  readonly sitOut: number;
  readonly neighbours: number;
  readonly carryOver: number;
  readonly midNight: number;
}

/** Common practice, no source; tried out so that each preset reaches what its name says. */
export const weightsOf: Record<DrawTask['preset'], Weights> = {
  opponents: { pairs: 1000, backToBack: 100, sitOut: 20, neighbours: 10, carryOver: 10, midNight: 1 },
  rest: { pairs: 10, backToBack: 1000, sitOut: 10, neighbours: 3, carryOver: 3, midNight: 1 },
  balanced: { pairs: 100, backToBack: 100, sitOut: 20, neighbours: 10, carryOver: 10, midNight: 1 },
};

/** Smallest sum of squares of `cells` whole numbers that add up to `sum`: all within one of each other. */
export function leastSquares(sum: number, cells: number): number {
  if (cells === 0) return 0;
  const q = Math.floor(sum / cells);
  return cells * q * q + (sum - q * cells) * (2 * q + 1);
}

/**
 * The weights of a preset. With exactly twice as many drivers as cars in a heat, no back-to-backs at all would mean two
 * fixed groups all night: there `rest` weighs like `opponents`.
 */
export function weightsFor(preset: DrawTask['preset'], shape: Shape): Weights {
  const splitsInTwo = shape.drivers * shape.heats === 2 * shape.seats;
  return weightsOf[preset === 'rest' && splitsInTwo ? 'opponents' : preset];
}
