import type { Car } from './car.ts';
import { pwmPeriod, type Switching } from './pwm.ts';

/** Mean current at a back EMF, and how it changes with the back EMF (never rises). */
export interface MeanCurrent {
  readonly meanA: number;
  readonly slope: number;
  /** Time constant with which the mean follows; 0 where the current dies in every period and knows nothing of the last. */
  readonly lagS: number;
}

export type CurrentLaw = (backEmf: number) => MeanCurrent;

/** Steps of a table from standstill to a quarter above the track's voltage. */
const steps = 320;

/** The mean current of a fixed setting over the back EMF: in closed form where there is one, else from a table. */
export function currentLaw(car: Car, switching: Switching): CurrentLaw {
  const plain = plainLaw(car, switching);
  if (plain) return plain;
  const top = 1.25 * car.volts;
  const means = Array.from({ length: steps + 1 }, (_, k) => pwmPeriod(car, switching, (top * k) / steps).meanA);
  return (backEmf) => {
    const place = Math.min(steps, Math.max(0, (backEmf / top) * steps));
    const k = Math.min(steps - 1, Math.floor(place));
    const from = means[k] as number;
    const rise = (means[k + 1] as number) - from;
    return { meanA: from + (place - k) * rise, slope: (rise * steps) / top, lagS: 0 };
  };
}

/** The same for a setting that is met once, as on a ramp. */
export function currentOnce(car: Car, switching: Switching, backEmf: number): MeanCurrent {
  const plain = plainLaw(car, switching);
  if (plain) return plain(backEmf);
  const { meanA } = pwmPeriod(car, switching, backEmf);
  const apart = car.volts / 1000;
  return { meanA, slope: (pwmPeriod(car, switching, backEmf + apart).meanA - meanA) / apart, lagS: 0 };
}

/** Without an open phase the mean of the voltage decides; without drive and short nothing flows. */
function plainLaw({ ohm, henry, volts }: Car, { duty, offShort }: Switching): CurrentLaw | null {
  if (duty >= 1 || offShort >= 1) {
    return (backEmf) => ({ meanA: (duty * volts - backEmf) / ohm, slope: -1 / ohm, lagS: henry / ohm });
  }
  if (duty <= 0 && offShort <= 0) {
    return (backEmf) =>
      backEmf > volts ? { meanA: (volts - backEmf) / ohm, slope: -1 / ohm, lagS: 0 } : { meanA: 0, slope: 0, lagS: 0 };
  }
  return null;
}
