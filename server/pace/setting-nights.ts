import { groupBy } from '../shared/group-by.ts';
import type { ClassPace, PaceFit } from './pace-fit.ts';
import type { Setting, SettingEffect } from './setting-effect.ts';
import { z90 } from './told-range.ts';

/** The smallest effect worth knowing, in log pace. */
const smallestWorthKnowing = 0.015;
/** Of fifteen clean laps of a usual driver. */
const usualSamplingVariance = 0.03 ** 2 / 15;

/**
 * Compares a driver's latest heats before a night (a) with those from that night on (b): lane, track and the night's grip
 * are taken off, so what is left is the car and the driver. Heats of one night share the driver's form and what the others
 * leave open of the grip; ability walks on from night to night. All that is in the interval, which is why one night driven
 * a, b, b, a settles sooner.
 *
 * @param firstB night with which b begins
 */
export function settingAcrossNights(fit: PaceFit, driver: string, carClass: string, firstB: number): SettingEffect {
  const own = fit.drivers.find((one) => one.driver === driver)?.classes.find((pace) => pace.carClass === carClass);
  const { tau, r, q } = fit.components;
  const settingOf = ({ night }: { readonly night: number }): Setting => (night < firstB ? 'a' : 'b');
  const usable = (own?.latestHeats ?? []).filter(({ logPace, v }) => Number.isFinite(logPace) && v >= 0);
  const numbers = {
    a: usable.filter((heat) => settingOf(heat) === 'a').length,
    b: usable.filter((heat) => settingOf(heat) === 'b').length,
  };
  const moreFor = (half: number) =>
    Math.max(1, Math.ceil((2 * (tau ** 2 + usualSamplingVariance) * z90 ** 2) / half ** 2));
  if (!own || numbers.a === 0 || numbers.b === 0) {
    const nothing = { effect: 0, interval: null, secondsPerLap: 0, verdict: 'notEnoughLaps' } as const;
    return { ...nothing, moreHeatsEach: moreFor(smallestWorthKnowing), heats: numbers };
  }
  const others = othersByNight(fit, driver);
  const nights = [...groupBy(usable, ({ night }) => night)].map(([night, heats]): NightMean => {
    const weights = heats.map(({ v }) => 1 / (tau ** 2 + v + 1e-8));
    const weight = sum(weights);
    const pace = sum(heats.map(({ logPace }, i) => logPace * (weights[i] as number))) / weight;
    const grip = (r ** 2 + tau ** 2) / Math.max(1, others.get(night) ?? 0);
    return { night, pace, variance: 1 / weight + r ** 2 + grip };
  });
  const [a, b] = (['a', 'b'] as const).map((setting) => across(nights.filter((night) => settingOf(night) === setting)));
  const effect = (b as Mean).pace - (a as Mean).pace;
  const walked = q ** 2 * nightsBetween(own, (a as Mean).night, (b as Mean).night);
  const half = z90 * Math.sqrt((a as Mean).variance + (b as Mean).variance + walked);
  const verdict =
    Math.abs(effect) > half
      ? effect < 0
        ? 'faster'
        : 'slower'
      : half <= smallestWorthKnowing
        ? 'noDifferenceSeen'
        : 'notEnoughLaps';
  return {
    effect,
    interval: { low: effect - half, high: effect + half },
    secondsPerLap: Math.exp((a as Mean).pace) * Math.expm1(effect),
    verdict,
    moreHeatsEach: verdict === 'notEnoughLaps' ? moreFor(Math.max(smallestWorthKnowing, Math.abs(effect))) : 0,
    heats: numbers,
  };
}

interface NightMean {
  readonly night: number;
  readonly pace: number;
  readonly variance: number;
}

type Mean = NightMean;

/** Mean of nights weighted by precision; `night` is the mean of their numbers. */
function across(nights: readonly NightMean[]): Mean {
  const weights = nights.map(({ variance }) => 1 / variance);
  const weight = sum(weights);
  const meanOf = (of: (night: NightMean) => number) =>
    sum(nights.map((night, i) => of(night) * (weights[i] as number))) / weight;
  return { night: meanOf(({ night }) => night), pace: meanOf(({ pace }) => pace), variance: 1 / weight };
}

/** Drivers beside this one whose latest heats show the grip of a night. */
function othersByNight(fit: PaceFit, except: string): ReadonlyMap<number, number> {
  const out = new Map<number, number>();
  for (const { driver, classes } of fit.drivers) {
    if (driver === except) continue;
    const nights = new Set(classes.flatMap(({ latestHeats }) => latestHeats.map(({ night }) => night)));
    for (const night of nights) out.set(night, (out.get(night) ?? 0) + 1);
  }
  return out;
}

/** Nights the driver attended between two points in the numbering of nights, about. */
const nightsBetween = ({ latestNights }: ClassPace, from: number, to: number): number =>
  Math.max(1, latestNights.filter(({ night }) => night > from && night <= to).length);

const sum = (list: readonly number[]) => list.reduce((total, x) => total + x, 0);

/** The nights before and from which on a driver's latest heats can be compared, by class, rising. */
export function nightsToCompare(fit: PaceFit, driver: string): { readonly carClass: string; readonly night: number }[] {
  const classes = fit.drivers.find((one) => one.driver === driver)?.classes ?? [];
  return classes.flatMap(({ carClass, latestHeats }) => {
    const nights = [...new Set(latestHeats.map(({ night }) => night))].sort((a, b) => a - b);
    return nights.slice(1).map((night) => ({ carClass, night }));
  });
}
