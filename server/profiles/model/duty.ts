import { type CurveFunction, curveFunction } from './curve.ts';
import type { Tuning } from './profile.ts';

/** Trigger to duty. Positions x are 0 (released) to 1 (fully pressed), duty is 0..1. */
export interface Throttle {
  /** Duty that the trigger asks for, before any ramp. */
  readonly duty: (x: number) => number;
  /** Drive added per trigger, d duty / d x; 0 while released. */
  readonly slope: (x: number) => number;
  readonly released: (x: number) => boolean;
}

/** The throttle of a profile. The step from 0 to minimum drive where the trigger leaves rest is wanted. */
export function throttleOf(tuning: Pick<Tuning, 'minDrive' | 'maxDrive' | 'releaseBand' | 'curve'>): Throttle {
  const x0 = tuning.releaseBand / 1000;
  const a = tuning.minDrive / 1000;
  const b = tuning.maxDrive / 1000;
  const curve: CurveFunction = curveFunction(tuning.curve);
  const within = (x: number) => (x - x0) / (1 - x0);
  return {
    duty: (x) => (x <= x0 ? 0 : between(a, b, curve.value(within(x)))),
    slope: (x) => (x <= x0 ? 0 : ((b - a) * curve.slope(within(x))) / (1 - x0)),
    released: (x) => x <= x0,
  };
}

/** From a to b, both met to the last bit: full trigger is maximum drive, not a little less or more. */
const between = (a: number, b: number, share: number) => Math.min(b, Math.max(a, a * (1 - share) + b * share));

/** Positions at which a curve is told: 0, 0.005, … 1. */
export const shownPositions: readonly number[] = Array.from({ length: 201 }, (_, i) => i / 200);

/** One row of a throttle curve. */
export interface CurveRow {
  readonly x: number;
  readonly duty: number;
  readonly slope: number;
}

/** The throttle curve at 201 positions, or at those given. */
export function curveRows(tuning: Tuning, positions: readonly number[] = shownPositions): CurveRow[] {
  const { duty, slope } = throttleOf(tuning);
  return positions.map((x) => ({ x, duty: duty(x), slope: slope(x) }));
}
