import type { PaceFit } from './pace-fit.ts';

/** A figure with limits that hold it in 9 of 10 cases. */
export interface Range {
  readonly middle: number;
  readonly low: number;
  readonly high: number;
}

/** Half of a 90 % interval of the normal distribution, in standard deviations. */
export const z90 = 1.6448536269514722;

/**
 * A normal figure told on another scale.
 *
 * @param told rising
 */
export const rangeOf = (middle: number, sd: number, told: (x: number) => number = (x) => x): Range => ({
  middle: told(middle),
  low: told(middle - z90 * sd),
  high: told(middle + z90 * sd),
});

/** The track with most heats, which the paces of a fit are of; null where it knows none. */
export const usualTrackOf = ({ tracks }: PaceFit): string | null => tracks[0]?.track ?? null;

/** The class that was driven most; null where the fit knows none. */
export function usualClassOf({ drivers, classes }: PaceFit): PaceFit['classes'][number] | null {
  const heats = new Map<string, number>();
  for (const pace of drivers.flatMap((driver) => driver.classes)) {
    heats.set(pace.carClass, (heats.get(pace.carClass) ?? 0) + pace.heats);
  }
  const most = classes.toSorted((a, b) => (heats.get(b.carClass) ?? 0) - (heats.get(a.carClass) ?? 0));
  return most[0] ?? null;
}
