import type { Car } from './car.ts';
import { openVolts, type Switching } from './pwm.ts';
import { advance, type MotorState, type Piece } from './rigid.ts';

/**
 * Motor and car with rigid tyres, every switching of the controller by itself: the reference for the means of
 * {@link pwmPeriod}, and the source of peaks.
 *
 * @param switchingAt asked at the start of every period, with the seconds since the start
 * @param durationS whole periods are run until it has passed
 */
export function switchedRun(
  car: Car,
  start: MotorState,
  switchingAt: (t: number) => Switching,
  durationS: number,
  seen?: (piece: Piece) => void,
): MotorState {
  let state = start;
  let t = 0;
  // Half a thousandth of a period, so that sums of periods do not add one more.
  while (durationS - t > 5e-4 / switchingAt(t).pwmHz) {
    const { duty, offShort, pwmHz, decay } = switchingAt(t);
    const periodS = 1 / pwmHz;
    const off = (1 - duty) * periodS;
    state = advance(car, state, { volts: car.volts }, duty * periodS, seen);
    state = advance(car, state, openVolts(car.volts, decay), off * (1 - offShort), seen);
    state = advance(car, state, { volts: 0 }, off * offShort, seen);
    t += periodS;
  }
  return state;
}

/** Largest current from rest while duty rises to its goal, with tyres that hold: the most that leads and fuse will see. */
export function launchPeak(
  car: Car,
  dutyAt: (t: number) => number,
  switching: Omit<Switching, 'duty'>,
  rampS: number,
): number {
  let peak = 0;
  const settleS = 8 * (car.henry / car.ohm) + 3 / switching.pwmHz;
  switchedRun(
    car,
    { currentA: 0, speedRadPerS: 0 },
    (t) => ({ ...switching, duty: dutyAt(t) }),
    rampS + settleS,
    ({ durationS, to, at, volts }) => {
      peak = Math.max(peak, to.currentA);
      if (volts !== car.volts) return;
      // At full duty the top lies inside a stretch.
      for (let part = 1; part < 64; part++) peak = Math.max(peak, at((durationS * part) / 64).currentA);
    },
  );
  return peak;
}
