import type { Shape } from './shape.ts';
import type { DrawTask } from './task.ts';

/**
 * What an excess over the least possible costs. The objective is a sum of whole numbers:
 *
 *   pairs      x (sum over pairs of squared meetings - least)
 * + backToBack x runs in the heat straight after the same driver's last one
 * + sitOut     x sum over sit-outs longer than `longSitOut` heats of the squared excess
 * + neighbours x (sum over pairs of squared heats side by side - least)
 * + carryOver  x (sum over ordered pairs of squared take-overs of a lane - least)
 * + midNight   x sum over drivers of |2 x sum of heat numbers - runs x (heats + 1)|
 *
 * A sum of squares whose total is fixed moves in steps of two, so a step of pairs costs twice the weight.
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
  opponents: { pairs: 1000, backToBack: 200, sitOut: 40, neighbours: 10, carryOver: 10, midNight: 2 },
  rest: { pairs: 10, backToBack: 2000, sitOut: 20, neighbours: 3, carryOver: 3, midNight: 2 },
  balanced: { pairs: 100, backToBack: 200, sitOut: 40, neighbours: 10, carryOver: 10, midNight: 2 },
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
export function weightsFor(preset: DrawTask['preset'], shape: Pick<Shape, 'drivers' | 'heats' | 'seats'>): Weights {
  const splitsInTwo = shape.drivers * shape.heats === 2 * shape.seats;
  return weightsOf[preset === 'rest' && splitsInTwo ? 'opponents' : preset];
}
