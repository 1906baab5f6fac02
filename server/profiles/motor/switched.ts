import type { Car } from './car.ts';
import { bisect } from './linear.ts';
import { openVolts, type Switching } from './pwm.ts';
import { advance, atRest, type MotorState, type Piece } from './rigid.ts';

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

/** As long as a motor's current is given to settle, s: none of the hobby needs it. */
const longestSettleS = 4;

/**
 * Largest current from rest while duty rises to its goal, with tyres that hold: the most that leads and fuse will see.
 *
 * @param rampS seconds until the goal
 */
export function launchPeak(
  car: Car,
  dutyAt: (t: number) => number,
  switching: Omit<Switching, 'duty'>,
  rampS: number,
): number {
  let peak = 0;
  const settleS = Math.min(longestSettleS, 8 * (car.henry / car.ohm)) + 3 / switching.pwmHz;
  const rises = ({ currentA, speedRadPerS }: MotorState) => car.volts - car.ohm * currentA - car.ke * speedRadPerS > 0;
  switchedRun(
    car,
    atRest,
    (t) => ({ ...switching, duty: dutyAt(t) }),
    rampS + settleS,
    ({ from, to, durationS, at, volts }) => {
      peak = Math.max(peak, to.currentA);
      if (volts !== car.volts || !rises(from) || rises(to)) return;
      // The top lies inside a drive phase.
      peak = Math.max(peak, at(bisect((t) => !rises(at(t)), 0, durationS)).currentA);
    },
  );
  return peak;
}
