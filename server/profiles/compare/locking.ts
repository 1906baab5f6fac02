import type { Tuning } from '../model/profile.ts';
import { lockThreshold } from '../motor/brake-grip.ts';
import { carOf } from '../motor/car.ts';
import { steadySpeed } from '../motor/closed-form.ts';
import type { CarMotor } from '../motor/motor.ts';

/**
 * Whether a setup's release brake asks more of the tyres than they hold, at half of the car's top speed: below that most
 * of the braking is done (design choice, no source).
 */
export function lockingOn(motor: CarMotor): (tuning: Tuning) => boolean {
  const car = carOf(motor);
  const halfSpeed = (steadySpeed(car) * car.metresPerRad) / 2;
  return (tuning) => {
    const strength = lockThreshold(car, tuning, halfSpeed);
    return strength !== null && tuning.brakeFull / 1000 >= strength;
  };
}
