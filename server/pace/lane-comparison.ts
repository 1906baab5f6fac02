import type { PaceFit } from './pace-fit.ts';
import { type Range, rangeOf, usualClassOf } from './told-range.ts';

/** The lanes of a track against their middle. */
export interface TrackLanes {
  readonly track: string;
  /** Clean lap of the class driven most, of a driver as quick as the mean, in seconds. */
  readonly lapS: number;
  /** By number. */
  readonly lanes: readonly ComparedLane[];
  /** Whether the limits leave any difference certain. */
  readonly differ: boolean;
}

export interface ComparedLane {
  readonly lane: number;
  /** Of a lap time, below 0 is quicker. */
  readonly percent: Range;
  readonly secondsPerLap: Range;
  readonly verdict: 'quicker' | 'slower' | 'same';
}

/** What the lanes of each track do to a lap, in the order of the fit: the track with most heats first. */
export function compareLanes(fit: PaceFit): TrackLanes[] {
  const level = usualClassOf(fit)?.logPace ?? 0;
  return fit.tracks.map(({ track, logEffect }) => {
    const lapS = Math.exp(level + logEffect);
    const lanes = fit.lanes
      .filter((one) => one.track === track)
      .toSorted((a, b) => a.lane - b.lane)
      .map((one): ComparedLane => {
        const percent = rangeOf(one.logEffect, one.sd, (x) => 100 * Math.expm1(x));
        return {
          lane: one.lane,
          percent,
          secondsPerLap: rangeOf(one.logEffect, one.sd, (x) => lapS * Math.expm1(x)),
          verdict: percent.high < 0 ? 'quicker' : percent.low > 0 ? 'slower' : 'same',
        };
      });
    return { track, lapS, lanes, differ: lanes.some(({ verdict }) => verdict !== 'same') };
  });
}
