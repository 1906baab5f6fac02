import { throttleOf } from '../model/duty.ts';
import type { Tuning } from '../model/profile.ts';
import { rampStep } from '../model/trace.ts';
import type { Car } from './car.ts';
import { stallCurrent } from './closed-form.ts';
import type { CarMotor } from './motor.ts';
import { pwmPeriod } from './pwm.ts';
import { drivenShort } from './pwm-map.ts';
import { choppedSpeed } from './ripple.ts';
import { launchPeak } from './switched.ts';

/** Currents of a profile on a motor, A, and heat in the winding. */
export interface MotorCurrents {
  /** Motor held at full drive. */
  readonly stallA: number;
  /** Largest in a start at full trigger, with tyres that hold. */
  readonly peakA: number;
  /** At {@link lightDuty} and the speed that comes of it. */
  readonly light: {
    readonly speedMPerS: number;
    readonly meanA: number;
    readonly rmsA: number;
    /** From peak to peak within a period. */
    readonly rippleA: number;
    readonly supplyA: number;
    readonly heatW: number;
    /** Whether current flows all the time. */
    readonly continuous: boolean;
  };
}

/** Duty at which light load is looked at. */
export const lightDuty = 0.2;

export function motorCurrents(car: Car, motor: CarMotor, tuning: Tuning): MotorCurrents {
  const { pwmHz, decay } = tuning;
  const rest = { offShort: drivenShort(tuning), pwmHz, decay };
  const full = throttleOf(tuning).duty(1);
  const rampS = ((full - tuning.minDrive / 1000) * tuning.rampUpMs) / 1000;
  const dutyAt = (tS: number) => rampStep(tuning, 0, full, tS * 1000);
  const switching = { ...rest, duty: lightDuty };
  const speed = choppedSpeed(car, switching);
  const { meanA, rmsA, peakA, leastA, supplyA, continuous } = pwmPeriod(car, switching, car.ke * speed);
  return {
    stallA: stallCurrent(car),
    peakA: launchPeak(car, dutyAt, rest, rampS),
    light: {
      speedMPerS: speed * car.metresPerRad,
      meanA,
      rmsA,
      rippleA: peakA - leastA,
      supplyA,
      heatW: rmsA ** 2 * motor.rOhm,
      continuous,
    },
  };
}
