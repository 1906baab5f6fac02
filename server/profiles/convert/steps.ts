import type { Steps } from './sheet.ts';

/** Which of the allowed values a value became; `clamped` where it lay outside of them. */
export interface Stepped {
  readonly value: number;
  readonly what: 'exact' | 'rounded' | 'clamped';
}

/** Nearest allowed value, after clamping; a tie goes down. */
export function nearestOf(steps: Steps, wanted: number): Stepped {
  const { min, max, step } = steps;
  const clamped = Math.min(max, Math.max(min, wanted));
  const value = Math.min(highestOf(steps), min + nearestMultiple(clamped - min, step));
  return { value, what: value === wanted ? 'exact' : clamped === wanted ? 'rounded' : 'clamped' };
}

/** Highest allowed value that is not above `wanted`; where there is none, the lowest, which is above it. */
export function floorOf(steps: Steps, wanted: number): Stepped {
  const { min, max, step } = steps;
  const value = wanted < min ? min : min + step * Math.floor((Math.min(max, wanted) - min) / step);
  return { value, what: value === wanted ? 'exact' : wanted >= min && wanted <= max ? 'rounded' : 'clamped' };
}

/** Lowest allowed value that is not below `wanted`; where there is none, the highest. */
export function ceilingOf(steps: Steps, wanted: number): number {
  const { min, step } = steps;
  return Math.min(highestOf(steps), min + step * Math.max(0, Math.ceil((wanted - min) / step)));
}

/** Nothing but steps from `min` is allowed, so `max` itself may not be. */
export function highestOf({ min, max, step }: Steps): number {
  return min + step * Math.floor((max - min) / step);
}

/** Multiple of `step` nearest to `value`; a tie goes down, also one that a float shows a last bit above it. */
export function nearestMultiple(value: number, step: number): number {
  const ratio = value / step;
  const whole = Math.floor(ratio);
  return step * (ratio - whole > 0.5 + 1e-9 ? whole + 1 : whole);
}

/** The frequency with the least ratio to the one wanted, up or down; a tie goes down. Exact: whole numbers are compared. */
export function nearestRatio(list: readonly number[], wanted: number): number {
  const sides = (f: number) => ({ high: Math.max(f, wanted), low: Math.min(f, wanted) });
  return list.reduce((best, f) => {
    const [a, b] = [sides(f), sides(best)];
    const difference = a.high * b.low - b.high * a.low;
    return difference < 0 || (difference === 0 && f < best) ? f : best;
  });
}
