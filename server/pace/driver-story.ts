import { betaQuantile } from './numeric/beta.ts';
import type { ClassPace, DriverFit, PaceFit } from './pace-fit.ts';
import { type Range, rangeOf, usualTrackOf } from './told-range.ts';

/** What a driver's page tells of a fit: seconds a lap on a middle lane of the club's usual track. */
export interface DriverStory {
  /** Nights attended. */
  readonly nights: number;
  /** Track that the seconds are of; null where the fit knows none. */
  readonly track: string | null;
  /** Classes with heats, most heats first. */
  readonly classes: readonly ClassStory[];
  readonly crashes: CrashStory;
}

export interface ClassStory {
  readonly carClass: string;
  readonly heats: number;
  /** Clean lap expected at the next night attended. */
  readonly lap: Range;
  readonly provisional: boolean;
  /** Latest nights attended with this class, oldest first. */
  readonly nights: readonly NightStory[];
  readonly learning: Learning | null;
}

export interface NightStory {
  readonly night: number;
  readonly lap: Range;
}

/** How the level moved; shares of a lap time, below 0 is quicker. */
export interface Learning {
  /** Nights attended since. */
  readonly nightsAgo: number;
  readonly change: Range;
  readonly verdict: 'quicker' | 'slower' | 'same';
}

export interface CrashStory {
  readonly per100Laps: Range;
  /** Mean seconds lost in one. */
  readonly lossS: number;
  /** Mean seconds lost on a lap. */
  readonly lostPerLapS: number;
}

/** Heats after which a pace is no longer provisional, or the spread (log) below which it is not. */
const settledHeats = 3;
const settledSd = 0.012;
/** Nights between two levels that are worth comparing. */
const leastNightsAgo = 3;

/** Whether so little is known that a pace is marked as provisional. */
export const isProvisional = ({ heats, sd }: Pick<ClassPace, 'heats' | 'sd'>): boolean =>
  heats < settledHeats && !(sd < settledSd);

/** Null where the fit has no heat of the driver. */
export function driverStory(fit: PaceFit, driver: string): DriverStory | null {
  const own = fit.drivers.find((one) => one.driver === driver);
  const driven = own?.classes.filter(({ heats }) => heats > 0) ?? [];
  if (!own || driven.length === 0) return null;
  return {
    nights: own.nights,
    track: usualTrackOf(fit),
    classes: driven.map((pace) => classStory(own, pace)).sort((a, b) => b.heats - a.heats),
    crashes: crashStory(own, fit.pooled.omega),
  };
}

function classStory({ nights, lapSd }: DriverFit, pace: ClassPace): ClassStory {
  // The mean of a lap whose logarithm is normal lies above its median.
  const lapOf = (logPace: number, sd: number) => rangeOf(logPace + lapSd ** 2 / 2, sd, Math.exp);
  return {
    carClass: pace.carClass,
    heats: pace.heats,
    lap: lapOf(pace.logPace, pace.sd),
    provisional: isProvisional(pace),
    nights: pace.latestNights.map(({ night, logPace, sd }) => ({ night, lap: lapOf(logPace, sd) })),
    learning: learningOf(nights, pace),
  };
}

function learningOf(nights: number, { logPace, latestNights }: ClassPace): Learning | null {
  const [then] = latestNights;
  if (!then || nights - then.nightsBehind < leastNightsAgo) return null;
  const change = rangeOf(logPace - then.logPace, then.changeSd, Math.expm1);
  const verdict = change.high < 0 ? 'quicker' : change.low > 0 ? 'slower' : 'same';
  return { nightsAgo: nights - then.nightsBehind, change, verdict };
}

function crashStory({ crash: { alpha, beta }, nu }: DriverFit, omega: number): CrashStory {
  const chance = alpha / (alpha + beta);
  const lossS = Math.exp(nu + omega ** 2 / 2);
  return {
    per100Laps: {
      middle: 100 * chance,
      low: 100 * betaQuantile(0.05, alpha, beta),
      high: 100 * betaQuantile(0.95, alpha, beta),
    },
    lossS,
    lostPerLapS: chance * lossS,
  };
}
