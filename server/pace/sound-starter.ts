import { log } from './numeric/repeatable.ts';
import type { Starter } from './pace-fit.ts';

/** What a starter is planned with where nothing usable is known. */
const blank = { lapS: 10, variance: 0.004, lapSd: 0.025, rho: 0.1, alpha: 1, beta: 29, lossS: 4.5, omega: 0.5 };

/**
 * Starters with figures that can be planned with: each one finite and within what a slot car can do. Figures that are no
 * numbers become those of an average driver, in the pace of the others where they have one.
 */
export function soundStarters(starters: readonly Starter[]): Starter[] {
  const paces = starters
    .map(({ logPace }) => logPace)
    .filter(Number.isFinite)
    .toSorted((a, b) => a - b);
  const middle = paces[Math.floor(paces.length / 2)] ?? log(blank.lapS);
  return starters.map((s) => ({
    driver: s.driver,
    logPace: within(s.logPace, log(0.1), log(3600), middle),
    variance: within(s.variance, 0, 1, blank.variance),
    lapSd: within(s.lapSd, 0, 0.5, blank.lapSd),
    rho: within(s.rho, -0.9, 0.9, blank.rho),
    crash: {
      alpha: within(s.crash.alpha, 1e-3, 1e9, blank.alpha),
      beta: within(s.crash.beta, 1e-3, 1e9, blank.beta),
    },
    nu: within(s.nu, log(0.05), log(600), log(blank.lossS)),
    omega: within(s.omega, 0, 2, blank.omega),
  }));
}

const within = (x: number, least: number, most: number, otherwise: number) =>
  Number.isNaN(x) ? otherwise : Math.min(most, Math.max(least, x));
