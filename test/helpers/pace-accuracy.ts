import { fitSeason } from '../../server/pace/fit.ts';
import type { DriverRow, LapRow } from '../../server/pace/lap-row.ts';
import type { PaceFit } from '../../server/pace/pace-fit.ts';

/** What is true of a driver, in whatever way it is known. */
export interface Truth {
  readonly driver: string;
  /** Log pace of the level at the next night attended, by class. */
  readonly nextNight: ReadonlyMap<string, number>;
  readonly crashChance: number;
}

export interface PaceError {
  readonly driver: string;
  readonly carClass: string;
  /** Predicted less true log pace, both against the mean of the class: tonight's grip, which nobody knows, cancels. */
  readonly error: number;
  /** As the fit tells it. */
  readonly sd: number;
}

export function fitOf(laps: readonly LapRow[], drivers: readonly DriverRow[]): PaceFit {
  const fitting = fitSeason(laps, drivers, { seed: 1 });
  let step = fitting.next();
  while (!step.done) step = fitting.next();
  return step.value;
}

export function paceErrors(fit: PaceFit, truth: readonly Truth[]): PaceError[] {
  const known = new Map(truth.map((each) => [each.driver, each.nextNight]));
  const pairs = fit.drivers.flatMap(({ driver, classes }) =>
    classes.flatMap(({ carClass, logPace, sd }) => {
      const right = known.get(driver)?.get(carClass);
      return right === undefined ? [] : [{ driver, carClass, off: logPace - right, sd }];
    }),
  );
  return pairs.map(({ driver, carClass, off, sd }) => {
    const field = pairs.filter((pair) => pair.carClass === carClass);
    return { driver, carClass, error: off - mean(field.map((pair) => pair.off)), sd };
  });
}

export function crashErrors(fit: PaceFit, truth: readonly Truth[]): number[] {
  const known = new Map(truth.map(({ driver, crashChance }) => [driver, crashChance]));
  return fit.drivers.flatMap(({ driver, crash: { alpha, beta } }) => {
    const right = known.get(driver);
    return right === undefined ? [] : [alpha / (alpha + beta) - right];
  });
}

/** Root mean square, in percent where the numbers are logs. */
export const percentRms = (x: readonly number[]) => 100 * Math.sqrt(mean(x.map((value) => value ** 2)));

/** Share of errors within the 90 % limits. */
export const coverage = (errors: readonly PaceError[]) =>
  mean(errors.map(({ error, sd }) => (Math.abs(error) <= 1.645 * sd ? 1 : 0)));

export const mean = (x: readonly number[]) => x.reduce((sum, value) => sum + value, 0) / x.length;
