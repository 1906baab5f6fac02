import { ClosingDetector, offShort } from '../model/brake.ts';
import { throttleOf } from '../model/duty.ts';
import type { Tuning } from '../model/profile.ts';
import { rampStep } from '../model/trace.ts';
import type { Car } from './car.ts';
import { type CurrentLaw, currentLaw, currentOnce } from './current-law.ts';
import { type SlipState, slipStep } from './tyre.ts';

/** Length of a step, s: short against every motor, long against the tyre, whose step is implicit. */
const stepS = 0.0002;

/** The car at one instant of a run. */
export interface RunPoint extends SlipState {
  readonly tS: number;
  readonly distanceM: number;
}

export interface Run {
  readonly durationS: number;
  readonly start: SlipState;
  /** Trigger position over the seconds since the start. */
  readonly trigger: (tS: number) => number;
  /** Ends the run early. */
  readonly until?: (point: RunPoint) => boolean;
}

/**
 * Drives a car by its trigger: throttle, ramp and brake law of the profile, mean current of its switching, and tyres that
 * slip.
 *
 * @param every is handed every point, the start too
 */
export function profileRun(tuning: Tuning, car: Car, run: Run, every?: (point: RunPoint) => void): RunPoint {
  const throttle = throttleOf(tuning);
  const closing = new ClosingDetector();
  const { pwmHz, decay } = tuning;
  let duty = 0;
  let law: CurrentLaw | null = null;
  let lawOf = { duty: -1, short: -1 };
  return stepped(
    car,
    run,
    (tS, backEmf) => {
      const x = run.trigger(tS);
      const before = duty;
      duty = rampStep(tuning, duty, throttle.duty(x), tS === 0 ? 0 : stepS * 1000);
      const short = offShort(tuning, x, closing.step(x, stepS));
      if (law && duty === lawOf.duty && short === lawOf.short) return law(backEmf);
      const switching = { duty, offShort: short, pwmHz, decay };
      law = null;
      // A table pays where the setting stays.
      if (duty !== before || tS === 0) return currentOnce(car, switching, backEmf);
      law = currentLaw(car, switching);
      lawOf = { duty, short };
      return law(backEmf);
    },
    every,
  );
}

/** The same with one law of current all the time: a held brake, or none. */
export function heldRun(
  car: Car,
  law: CurrentLaw,
  run: Omit<Run, 'trigger'>,
  every?: (point: RunPoint) => void,
): RunPoint {
  return stepped(car, run, (_, backEmf) => law(backEmf), every);
}

function stepped(
  car: Car,
  { durationS, start, until }: Omit<Run, 'trigger'>,
  currentAt: (tS: number, backEmf: number) => ReturnType<CurrentLaw>,
  every?: (point: RunPoint) => void,
): RunPoint {
  let point: RunPoint = { tS: 0, distanceM: 0, ...start };
  every?.(point);
  const steps = Math.round(durationS / stepS);
  let currentA = 0;
  for (let k = 0; k < steps; k++) {
    const { meanA, slope, lagS } = currentAt(point.tS, car.ke * point.motorRadPerS);
    // The current follows its mean with a lag, implicitly too.
    const follows = stepS / (stepS + lagS);
    const lagging = { meanA: currentA + follows * (meanA - currentA), slope: follows * slope };
    const next = slipStep(car, point, lagging, stepS);
    currentA = lagging.meanA + lagging.slope * car.ke * (next.motorRadPerS - point.motorRadPerS);
    const distanceM = point.distanceM + ((point.carMPerS + next.carMPerS) / 2) * stepS;
    const { motorRadPerS, carMPerS } = next;
    point = { tS: (k + 1) * stepS, distanceM, motorRadPerS, carMPerS };
    every?.(point);
    if (until?.(point)) break;
  }
  return point;
}

/** A car that rolls at a speed without slip. */
export const rolling = (car: Car, carMPerS: number): SlipState => ({
  carMPerS,
  motorRadPerS: carMPerS / car.metresPerRad,
});

/** Seconds from rest until the car is so fast, at full trigger; null when it is not within 3 s. */
export function timeToSpeed(tuning: Tuning, car: Car, speedMPerS: number): number | null {
  let before: RunPoint | null = null;
  let at: number | null = null;
  profileRun(
    tuning,
    car,
    { durationS: 3, start: rolling(car, 0), trigger: () => 1, until: () => at !== null },
    (point) => {
      if (before && at === null && point.carMPerS >= speedMPerS) {
        const share = (speedMPerS - before.carMPerS) / (point.carMPerS - before.carMPerS);
        at = before.tS + share * (point.tS - before.tS);
      }
      before = point;
    },
  );
  return at;
}
