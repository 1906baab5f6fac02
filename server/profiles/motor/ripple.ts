import type { Car } from './car.ts';
import { pwmPeriod, type Switching } from './pwm.ts';

type Winding = Pick<Car, 'ohm' | 'henry' | 'volts'>;

/** R / (L f): a period in electrical time constants. */
const periods = ({ ohm, henry }: Winding, pwmHz: number) => ohm / henry / pwmHz;

/** Ripple of the current from peak to peak while it never dies, A; slow decay. */
export function continuousRipple(winding: Winding, duty: number, pwmHz: number): number {
  const a = periods(winding, pwmHz);
  return ((winding.volts / winding.ohm) * Math.expm1(-duty * a) * Math.expm1(-(1 - duty) * a)) / -Math.expm1(-a);
}

/**
 * The short form Vs D (1 - D) / (L f): Texas Instruments, application report SLVA477B, equation 2, with Vout = D Vin. Far
 * too large where a period is as long as L / R or longer.
 */
export function linearRipple(winding: Winding, duty: number, pwmHz: number): number {
  return (winding.volts * duty * (1 - duty)) / (winding.henry * pwmHz);
}

/** Back EMF over the track's voltage above which the current of an unshorted motor dies before the period ends. */
export function continuousEdge(winding: Winding, duty: number, pwmHz: number): number {
  const a = periods(winding, pwmHz);
  // Both over e^a, which overflows at low frequencies.
  return (Math.exp((duty - 1) * a) - Math.exp(-a)) / -Math.expm1(-a);
}

/** Mean current at very high frequency: a weak source with the motor's own resistance. */
export const fastLimit = ({ ohm, volts }: Winding, duty: number, backEmf: number): number =>
  (duty * volts - backEmf) / ohm;

/** Mean current at very low frequency without a short: the full voltage through a resistor R / D. */
export const slowLimit = ({ ohm, volts }: Winding, duty: number, backEmf: number): number =>
  (duty * (volts - backEmf)) / ohm;

/**
 * Speed at which the motor's mean torque is what friction takes, rad/s; 0 where it does not start.
 *
 * @param friction dry friction on the shaft, N m
 */
export function choppedSpeed(car: Car, switching: Switching, friction = car.friction): number {
  const spare = (speed: number) => car.ke * pwmPeriod(car, switching, car.ke * speed).meanA - friction - car.b * speed;
  let low = 0;
  let high = car.volts / car.ke;
  if (spare(low) <= 0) return 0;
  // The torque falls with speed, and at the speed of the full voltage it is gone.
  for (let halving = 0; halving < 48; halving++) {
    const middle = (low + high) / 2;
    if (spare(middle) > 0) low = middle;
    else high = middle;
  }
  return low;
}
