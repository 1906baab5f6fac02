import type { CrashCount } from './heat-row.ts';
import type { DriverRow } from './lap-row.ts';
import { betaQuantile, logBeta } from './numeric/beta.ts';

/** How often a driver leaves the slot and what it costs. */
export interface CrashRate {
  /** Chance of a crash on a lap: Beta(alpha, beta). */
  readonly alpha: number;
  readonly beta: number;
  /** Mean of log seconds lost in a crash. */
  readonly nu: number;
}

export interface CrashModel {
  readonly drivers: ReadonlyMap<string, CrashRate>;
  /** For somebody without a lap, by group; `null` is a driver whose group nobody named. */
  readonly newcomer: ReadonlyMap<DriverRow['group'], CrashRate>;
  /** Mean and standard deviation of log seconds lost in a crash, over the club. */
  readonly pooled: { readonly nu: number; readonly omega: number };
}

/** What a driver is shown. */
export interface CrashFigures {
  /** With the limits that hold 90 % of what is likely. */
  readonly per100Laps: { readonly mean: number; readonly low: number; readonly high: number };
  readonly secondsPerCrash: number;
  readonly secondsPerHeat: number;
}

/** Nights after which a lap counts half. */
const halfLifeNights = 10;
/** A group's mean starts from this many crashes in so many laps. */
const priorCrashes = 1;
const priorLaps = 30;
/** How many laps the group's mean may be worth in a driver's own rate. */
const concentrations = [15, 25, 40, 60, 100, 160, 250] as const;
/** How many crashes the club's mean loss is worth in a driver's own. */
const lossWorth = 6;
/** Where nobody has crashed yet: four and a half seconds, and how far that may be off. */
const usualNu = Math.log(4.5);
const usualOmega = 0.5;
/** Losses and laps of a heat outside of these are faults of the data. */
const leastLossS = 0.01;
const mostLossS = 1200;
const mostLaps = 1e6;

/**
 * Chances and costs of crashes: for each group a beta distribution over its drivers, its concentration by the largest
 * beta-binomial likelihood (empirical Bayes), and each driver's own laps on top of it; older nights count less.
 *
 * @param counts of `summariseHeats`
 */
export function crashModel(counts: readonly CrashCount[], drivers: readonly DriverRow[]): CrashModel {
  const groupOf = new Map(drivers.map(({ driver, group }) => [driver, group]));
  const losses = lossesOf(counts);
  const tallies = talliesOf(counts);
  const rates = new Map<string, CrashRate>();
  const newcomer = new Map<DriverRow['group'], CrashRate>();
  for (const group of ['junior', 'adult', null] as const) {
    const members = [...tallies].filter(([driver]) => (groupOf.get(driver) ?? null) === group);
    // Nobody to learn from: everybody together says more than nothing.
    const prior = groupPrior((members.length > 0 ? members : [...tallies]).map(([, tally]) => tally));
    newcomer.set(group, { ...prior, nu: losses.nu });
    for (const [driver, { crashes, laps }] of members) {
      const nu = losses.byDriver.get(driver) ?? losses.nu;
      rates.set(driver, { alpha: prior.alpha + crashes, beta: prior.beta + laps - crashes, nu });
    }
  }
  return { drivers: rates, newcomer, pooled: { nu: losses.nu, omega: losses.omega } };
}

/** @param omega of the model @param heatLaps laps of the heat the cost is for */
export function crashFigures({ alpha, beta, nu }: CrashRate, omega: number, heatLaps: number): CrashFigures {
  const mean = alpha / (alpha + beta);
  const secondsPerCrash = Math.exp(nu + omega ** 2 / 2);
  return {
    per100Laps: {
      mean: 100 * mean,
      low: 100 * betaQuantile(0.05, alpha, beta),
      high: 100 * betaQuantile(0.95, alpha, beta),
    },
    secondsPerCrash,
    secondsPerHeat: heatLaps * mean * secondsPerCrash,
  };
}

interface Tally {
  crashes: number;
  laps: number;
}

function talliesOf(counts: readonly CrashCount[]): Map<string, Tally> {
  const nights = [...new Set(counts.filter(isSound).map(({ night }) => night))].sort((a, b) => a - b);
  const age = new Map(nights.map((night, i) => [night, nights.length - 1 - i]));
  const tallies = new Map<string, Tally>();
  for (const count of counts) {
    if (!isSound(count)) continue;
    const weight = 2 ** (-(age.get(count.night) ?? 0) / halfLifeNights);
    const tally = tallies.get(count.driver) ?? { crashes: 0, laps: 0 };
    tally.crashes += weight * Math.min(count.crashes, count.laps);
    tally.laps += weight * count.laps;
    tallies.set(count.driver, tally);
  }
  return tallies;
}

const isSound = ({ crashes, laps }: CrashCount) => crashes >= 0 && laps >= 0 && laps <= mostLaps;

function groupPrior(tallies: readonly Tally[]): { alpha: number; beta: number } {
  let crashes = 0;
  let laps = 0;
  for (const tally of tallies) {
    crashes += tally.crashes;
    laps += tally.laps;
  }
  // A group that crashed on each of its laps still leaves room for a clean one.
  const mean = Math.min(0.95, (crashes + priorCrashes) / (laps + priorLaps));
  let best: number = concentrations[2];
  let bestLikelihood = Number.NEGATIVE_INFINITY;
  for (const k of concentrations) {
    const [a, b] = [mean * k, (1 - mean) * k];
    let likelihood = 0;
    for (const tally of tallies)
      likelihood += logBeta(a + tally.crashes, b + tally.laps - tally.crashes) - logBeta(a, b);
    if (tallies.length > 0 && likelihood > bestLikelihood) [best, bestLikelihood] = [k, likelihood];
  }
  return { alpha: mean * best, beta: (1 - mean) * best };
}

/** Log seconds lost: the club's mean, each driver's drawn towards it, and the spread around the drivers' own. */
function lossesOf(counts: readonly CrashCount[]) {
  const sums = new Map<string, { log: number; count: number }>();
  const each = function* () {
    for (const { driver, lossesS } of counts) {
      for (const lossS of lossesS)
        if (lossS >= leastLossS && lossS <= mostLossS) yield { driver, log: Math.log(lossS) };
    }
  };
  let total = lossWorth * usualNu;
  let count = lossWorth;
  for (const { driver, log } of each()) {
    const sum = sums.get(driver) ?? { log: 0, count: 0 };
    sum.log += log;
    sum.count++;
    sums.set(driver, sum);
    total += log;
    count++;
  }
  const nu = total / count;
  const byDriver = new Map(
    [...sums].map(([driver, sum]) => [driver, (lossWorth * nu + sum.log) / (lossWorth + sum.count)]),
  );
  let squares = lossWorth * usualOmega ** 2;
  for (const { driver, log } of each()) squares += (log - (byDriver.get(driver) ?? nu)) ** 2;
  return { nu, omega: Math.sqrt(squares / count), byDriver };
}
