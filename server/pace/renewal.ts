import { exp } from './numeric/repeatable.ts';
import type { Starter } from './pace-fit.ts';

/**
 * Laps in a time without drawing: renewal theory. For checks and for figures beside a name; chances are not planned with
 * it, because crashes make scores lopsided and that decides who wins.
 */

/** Mean and variance. */
export interface Moments {
  readonly mean: number;
  readonly variance: number;
}

/**
 * Whole laps in a time, from lap times independent of each other: approximately normal with mean T/mu + (cv^2 - 1)/2 and
 * variance T sigma^2/mu^3 + (1 - cv^4)/12, where cv = sigma/mu. W. Feller, "An Introduction to Probability Theory and Its
 * Applications" II, ch. XI; S. M. Ross, "Stochastic Processes", ch. 3. The constant of the variance is a rule of thumb.
 *
 * @param lap mean above 0 and variance of a lap, in seconds
 */
export function wholeLapsIn(timeS: number, lap: Moments): Moments {
  const cv2 = lap.variance / lap.mean ** 2;
  return {
    mean: timeS / lap.mean + (cv2 - 1) / 2,
    variance: (timeS * lap.variance) / lap.mean ** 3 + (1 - cv2 ** 2) / 12,
  };
}

/** Time of a lap with its crash, if there is one. @param starter sound figures, see `soundStarters` */
export function lapMoments(starter: Starter): Moments {
  const clean = exp(starter.logPace + starter.lapSd ** 2 / 2);
  const { chance } = crashChance(starter);
  const loss = exp(starter.nu + starter.omega ** 2 / 2);
  const lossSquare = loss ** 2 * exp(starter.omega ** 2);
  // Laps that follow each other are alike: their sum varies as if each varied by so much more.
  const alike = (1 + starter.rho) / (1 - starter.rho);
  return {
    mean: clean + chance * loss,
    variance: (clean * starter.lapSd) ** 2 * alike + chance * lossSquare - (chance * loss) ** 2,
  };
}

/** Laps of a starter in a time, part laps included: what is not known of its level and its crashes counts too. */
export function expectedLaps(starter: Starter, timeS: number): Moments {
  const lap = lapMoments(starter);
  const laps = wholeLapsIn(timeS, lap);
  const mean = (laps.mean + 1 / 2) * exp(starter.variance / 2);
  const loss = exp(starter.nu + starter.omega ** 2 / 2);
  const unknown = starter.variance + crashChance(starter).variance * (loss / lap.mean) ** 2;
  return { mean, variance: (timeS * lap.variance) / lap.mean ** 3 + mean ** 2 * unknown };
}

/** Chance of a crash on a lap, Beta(alpha, beta), with the variance of what is believed. */
export function crashChance({ crash: { alpha, beta } }: Starter): { chance: number; variance: number } {
  const sum = alpha + beta;
  return { chance: alpha / sum, variance: (alpha * beta) / (sum ** 2 * (sum + 1)) };
}
