import { learningAt } from './club-columns.ts';
import type { ClassPace, PaceFit } from './pace-fit.ts';
import { settingDifference, toldEffect } from './setting-difference.ts';
import { type Setting, type SettingEffect, usualSamplingVariance } from './setting-effect.ts';
import { heatVariance, learningOf } from './setting-past.ts';

/**
 * Compares a driver's latest heats before a night (a) with those from that night on (b): lane, track, the night's grip and
 * what juniors learn are taken off, so what is left is the car and the driver. Heats of one night share the driver's form
 * and what the others leave open of the grip; ability walks on from night to night. All that is in the interval, which is
 * why one night driven a, b, b, a settles sooner.
 *
 * @param firstB night with which b begins
 */
export function settingAcrossNights(fit: PaceFit, driver: string, carClass: string, firstB: number): SettingEffect {
  const known = fit.drivers.find((one) => one.driver === driver);
  const own = known?.classes.find((pace) => pace.carClass === carClass);
  const usable = (own?.latestHeats ?? []).filter(({ logPace, v }) => Number.isFinite(logPace) && v >= 0);
  const settingOf = (night: number): Setting => (night < firstB ? 'a' : 'b');
  const { components } = fit;
  const learning = learningOf(fit, known?.group ?? null);
  const toLearn = toLearnBy(own);
  const others = othersByNight(fit, driver);
  const heats = usable.map(({ night, logPace }) => ({
    setting: settingOf(night),
    within: carClass,
    pace: logPace - learning.mean * learningAt(toLearn(night)),
  }));
  const difference = settingDifference(heats, (i, j) => {
    const [a, b] = [usable[i], usable[j]] as [(typeof usable)[number], (typeof usable)[number]];
    const [kA, kB] = [toLearn(a.night), toLearn(b.night)];
    const walked = components.q ** 2 * Math.min(kA, kB) + learning.variance * learningAt(kA) * learningAt(kB);
    if (a.night !== b.night) return walked;
    const grip = (components.r ** 2 + components.tau ** 2) / Math.max(1, others.get(a.night) ?? 0);
    return walked + components.r ** 2 + grip + (i === j ? heatVariance(components, a.v) : 0);
  });
  const before = usable.filter(({ night }) => settingOf(night) === 'a');
  return toldEffect(difference, {
    heats: { a: before.length, b: usable.length - before.length },
    lapS: before.length === 0 ? 0 : Math.exp(sum(before.map(({ logPace }) => logPace)) / before.length),
    perHeat: heatVariance(components, usualSamplingVariance),
  });
}

/** Nights attended before a night: as the fit says for the latest, and the same as the first of these before. */
function toLearnBy(own: ClassPace | undefined): (night: number) => number {
  const behind = new Map(own?.latestNights.map(({ night, nightsBehind }) => [night, nightsBehind]));
  const first = own?.latestNights[0]?.nightsBehind ?? 0;
  return (night) => behind.get(night) ?? first;
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

const sum = (list: readonly number[]) => list.reduce((total, x) => total + x, 0);

/** The nights before and from which on a driver's latest heats can be compared, by class, rising. */
export function nightsToCompare(fit: PaceFit, driver: string): { readonly carClass: string; readonly night: number }[] {
  const classes = fit.drivers.find((one) => one.driver === driver)?.classes ?? [];
  return classes.flatMap(({ carClass, latestHeats }) => {
    const nights = [...new Set(latestHeats.map(({ night }) => night))].sort((a, b) => a - b);
    return nights.slice(1).map((night) => ({ carClass, night }));
  });
}
