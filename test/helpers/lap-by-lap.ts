import type { Starter } from '../../server/pace/pace-fit.ts';
import { type Random, randomFrom } from '../../server/shared/random.ts';

/**
 * Heats driven lap by lap: the truth that plans are held against. It shares no formula with the planner: laps are drawn one
 * after the other, skewed to the slow side and like the lap before; a crash stops the car somewhere in its lap.
 */
export interface TrueCar {
  readonly driver: string;
  /** Mean log of a lap's seconds. */
  readonly logPace: number;
  /** Standard deviation of the level from heat to heat, in log. */
  readonly levelSd: number;
  readonly lapSd: number;
  /** Likeness of a lap to the one before. */
  readonly rho: number;
  readonly crashChance: number;
  /** Draws seconds lost in a crash; without it they are gamma distributed, with a mean of 4.5 s. */
  readonly lossS?: (random: Random) => number;
}

/** Whole laps that end within a time. */
export function wholeLaps(timeS: number, nextLapS: () => number): number {
  let laps = 0;
  for (let clock = nextLapS(); clock <= timeS; clock += nextLapS()) laps += 1;
  return laps;
}

/** Laps in a time, with the part of the last one. */
export function driveFor(car: TrueCar, timeS: number, random: Random): number {
  if (timeS <= 0) return 0;
  const next = lapsOf(car, random);
  let clock = 0;
  for (let laps = 0; ; laps += 1) {
    const { cleanS, crash } = next();
    const left = timeS - clock;
    const total = cleanS + (crash?.lossS ?? 0);
    if (total <= left) {
      clock += total;
      continue;
    }
    const untilCrash = crash ? crash.at * cleanS : Number.POSITIVE_INFINITY;
    if (left <= untilCrash) return laps + left / cleanS;
    const standing = left - untilCrash - (crash?.lossS ?? 0);
    return laps + (crash?.at ?? 0) + Math.max(0, standing) / cleanS;
  }
}

/** Seconds for a number of laps. */
export function driveLaps(car: TrueCar, laps: number, random: Random): number {
  const next = lapsOf(car, random);
  let clock = 0;
  for (let i = 0; i < laps; i += 1) {
    const { cleanS, crash } = next();
    clock += cleanS + (crash?.lossS ?? 0);
  }
  return clock;
}

function lapsOf(car: TrueCar, random: Random) {
  const level = car.logPace + car.levelSd * random.normal();
  const lost = car.lossS ?? lossS;
  let tied = random.normal();
  return () => {
    // Gamma of shape 4, from four exponential numbers: skewness 1.
    const four = (1 - random.unit()) * (1 - random.unit()) * (1 - random.unit()) * (1 - random.unit());
    const fresh = (-Math.log(four) - 4) / 2;
    tied = car.rho * tied + Math.sqrt(1 - car.rho ** 2) * fresh;
    const cleanS = Math.exp(level + car.lapSd * tied);
    const crashed = random.unit() < car.crashChance;
    return { cleanS, crash: crashed ? { at: random.unit(), lossS: lost(random) } : null };
  };
}

/** Half a second for the marshal to see it, then gamma of shape 3; mean 4.5 s. */
const lossS = (random: Random) => 0.6 - 1.3 * Math.log((1 - random.unit()) * (1 - random.unit()) * (1 - random.unit()));

/** Mean and standard deviation of the log of a loss, as laps of the past would show them. */
const logLoss = (() => {
  const random = randomFrom(11);
  const logs = Array.from({ length: 20_000 }, () => Math.log(lossS(random)));
  const mean = logs.reduce((sum, x) => sum + x, 0) / logs.length;
  return { mean, sd: Math.sqrt(logs.reduce((sum, x) => sum + (x - mean) ** 2, 0) / logs.length) };
})();

/** What a planner is told that knows the truth. */
export const starterOf = (car: TrueCar): Starter => ({
  driver: car.driver,
  logPace: car.logPace,
  variance: car.levelSd ** 2,
  lapSd: car.lapSd,
  rho: car.rho,
  crash: { alpha: car.crashChance * 1e5, beta: (1 - car.crashChance) * 1e5 },
  nu: logLoss.mean,
  omega: logLoss.sd,
});

/** Cars as different as children and veterans. */
export function randomCars(random: Random, count: number): TrueCar[] {
  return Array.from({ length: count }, (_, i) => {
    const junior = random.unit() < 0.4;
    return {
      driver: `Driver ${i + 1}`,
      logPace: (junior ? 1.9 : 1.77) + 0.06 * random.normal(),
      levelSd: 0.0085 + 0.003 * random.unit(),
      lapSd: 0.02 + 0.012 * random.unit(),
      rho: 0.125,
      crashChance: Math.min(0.2, (junior ? 0.06 : 0.02) * Math.exp(0.6 * random.normal())),
    };
  });
}

/**
 * True chances to win: the share of heats won, lap by lap; joint wins are split.
 *
 * @param scoreOf a starter's score in one heat; more is better
 */
export function trueChances(starters: number, heats: number, scoreOf: (starter: number) => number): number[] {
  const wins = new Array<number>(starters).fill(0);
  for (let h = 0; h < heats; h += 1) {
    const scores = wins.map((_, i) => scoreOf(i));
    const best = Math.max(...scores);
    const winners = scores.filter((score) => score === best).length;
    for (const [i, score] of scores.entries()) if (score === best) wins[i] = (wins[i] as number) + 1 / winners;
  }
  return wins.map((won) => won / heats);
}

/** Difference between the greatest and the smallest chance. */
export const gapOf = (chances: readonly number[]) => Math.max(...chances) - Math.min(...chances);
