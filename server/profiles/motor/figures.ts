import type { Tuning } from '../model/profile.ts';
import { brakeLaw, lockThreshold, tyreStop } from './brake-grip.ts';
import { carOf } from './car.ts';
import {
  brakedStop,
  coastStop,
  electricalTimeConstant,
  mechanicalTimeConstant,
  poles,
  steadySpeed,
} from './closed-form.ts';
import { lightDuty, motorCurrents } from './currents.ts';
import type { CarMotor } from './motor.ts';
import { advance, atRest } from './rigid.ts';
import { continuousEdge, continuousRipple, linearRipple } from './ripple.ts';
import { shownSpeeds } from './speeds.ts';

/** Times of the run at full drive, s. */
const shownTimesS = [0.05, 0.1, 0.3] as const;

/** The figures of `lanewise profile motor`: a unit stands at the end of each name, shares are 0..1. */
export function motorFigures(motor: CarMotor, tuning: Tuning) {
  const car = carOf(motor);
  const { brakeFull, pwmHz, decay } = tuning;
  const top = steadySpeed(car);
  const steadySpeedMPerS = top * car.metresPerRad;
  const braked = brakedStop(car, top);
  const coast = coastStop(car, top);
  const released = tyreStop(car, brakeLaw(car, { offShort: brakeFull / 1000, pwmHz, decay }), steadySpeedMPerS);
  const { stallA, peakA, light } = motorCurrents(car, motor, tuning);
  return {
    /** At full voltage on a level straight, tyres holding. */
    steadySpeedRadPerS: top,
    steadySpeedMPerS,
    electricalTimeConstantS: electricalTimeConstant(car),
    mechanicalTimeConstantS: mechanicalTimeConstant(car),
    /** Real and imaginary part. */
    polesPerS: poles(car),
    /** From rest at full voltage, tyres holding. */
    fullDrive: shownTimesS.map((tS) => {
      const { speedRadPerS, currentA } = advance(car, atRest, { volts: car.volts }, tS);
      return { tS, speedRadPerS, speedMPerS: speedRadPerS * car.metresPerRad, currentA };
    }),
    /** From the steady speed, terminals shorted, tyres holding. */
    fullBrakeStopTimeS: finite(braked.timeS),
    fullBrakeStopDistanceM: finite(braked.distanceM),
    /** From the steady speed, neither drive nor short; null: without friction it never stops. */
    coastTimeS: finite(coast.timeS),
    coastDistanceM: finite(coast.distanceM),
    /** From the steady speed with the profile's release brake, and tyres that may slide; null: not over after 20 s. */
    releaseStopTimeS: released?.timeS ?? null,
    releaseStopDistanceM: released?.distanceM ?? null,
    stallCurrentA: stallA,
    peakCurrentA: peakA,
    /** From peak to peak at half duty while current never dies: exactly, and by the short form without resistance. */
    continuousRippleHalfDutyA: continuousRipple(car, 0.5, pwmHz),
    linearRippleHalfDutyA: linearRipple(car, 0.5, pwmHz),
    lightLoad: {
      duty: lightDuty,
      speedMPerS: light.speedMPerS,
      meanCurrentA: light.meanA,
      rmsCurrentA: light.rmsA,
      rippleCurrentA: light.rippleA,
      supplyCurrentA: light.supplyA,
      windingHeatW: light.heatW,
      continuous: light.continuous,
      /** Back EMF over the track's voltage above which the current of an unshorted motor dies in every period. */
      continuousBelowBackEmfShare: continuousEdge(car, lightDuty, pwmHz),
    },
    gripN: car.gripN,
    /** Brake strength above which the wheels slide; null where they hold at full brake. */
    wheelsSlideAbove: shownSpeeds(steadySpeedMPerS).map((speedMPerS) => ({
      speedMPerS,
      brakeShare: lockThreshold(car, tuning, speedMPerS),
    })),
  };
}

export type MotorFigures = ReturnType<typeof motorFigures>;

const finite = (value: number): number | null => (Number.isFinite(value) ? value : null);
