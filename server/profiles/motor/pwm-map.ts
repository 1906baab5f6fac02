import type { Tuning } from '../model/profile.ts';
import type { Car } from './car.ts';
import { pwmPeriod } from './pwm.ts';

/** Mean current in A: a row for each back EMF, a column for each duty; both from 0 to 1 at equal distances. */
export interface PwmMap {
  readonly duties: readonly number[];
  /** Shares of the track's voltage. */
  readonly backEmfs: readonly number[];
  readonly meanA: readonly (readonly number[])[];
}

const mapSize = 41;

/** Off-time short share while driving outside any drag zone. */
export const drivenShort = ({ rectify }: Pick<Tuning, 'rectify'>): number => (rectify === 'sync' ? 1 : 0);

/** The mean current everywhere, while driving outside any drag zone. */
export function pwmMap(car: Car, tuning: Tuning): PwmMap {
  const shares = Array.from({ length: mapSize }, (_, k) => k / (mapSize - 1));
  const { pwmHz, decay } = tuning;
  return {
    duties: shares,
    backEmfs: shares,
    meanA: shares.map((backEmf) =>
      shares.map(
        (duty) => pwmPeriod(car, { duty, offShort: drivenShort(tuning), pwmHz, decay }, backEmf * car.volts).meanA,
      ),
    ),
  };
}
