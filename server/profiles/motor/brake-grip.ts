import type { Car } from './car.ts';
import type { Stop } from './closed-form.ts';
import { type CurrentLaw, currentLaw } from './current-law.ts';
import type { Switching } from './pwm.ts';
import { pwmPeriod } from './pwm.ts';
import { heldRun, rolling } from './run.ts';

type Brake = Pick<Switching, 'pwmHz' | 'decay'>;

/** Braking current of a chopped brake over that of a full one, at a back EMF: what frequency makes of a strength. */
export function brakeShareOfFull(
  car: Pick<Car, 'ohm' | 'henry' | 'volts'>,
  brake: Brake & { offShort: number },
  backEmf: number,
): number {
  return (-pwmPeriod(car, { ...brake, duty: 0 }, backEmf).meanA * car.ohm) / backEmf;
}

/** The current of a trigger let go, at every speed: made once, then used for every stop. */
export const brakeLaw = (car: Car, brake: Brake & { offShort: number }): CurrentLaw =>
  currentLaw(car, { ...brake, duty: 0 });

/** Stop with a brake, with tyres that may slide; null when it is not over after 20 s. */
export function tyreStop(car: Car, law: CurrentLaw, speedMPerS: number): Stop | null {
  const end = heldRun(car, law, {
    durationS: 20,
    start: rolling(car, speedMPerS),
    until: ({ carMPerS }) => carMPerS === 0,
  });
  return end.carMPerS === 0 ? { timeS: end.tS, distanceM: end.distanceM } : null;
}

/**
 * Brake strength above which more brake only locks the wheels, or makes them slide, as a share 0..1; null when even a full
 * brake does not ask for more than the tyres hold at that speed.
 *
 * While they hold, the tyres slow car and rotor together: F n + Jm F' = torque of the motor, with F' the car's slowing
 * carried over to the shaft.
 */
export function lockThreshold(car: Car, brake: Brake, speedMPerS: number): number | null {
  const n = car.metresPerRad;
  const w = speedMPerS / n;
  const held = car.gripN * n + (car.rotorInertia * (car.gripN + car.rollingN)) / (car.massKg * n);
  const braking = (offShort: number) =>
    -car.ke * pwmPeriod(car, { ...brake, duty: 0, offShort }, car.ke * w).meanA + car.rotorFriction + car.b * w;
  if (braking(1) <= held) return null;
  let low = 0;
  let high = 1;
  for (let halving = 0; halving < 24; halving++) {
    const middle = (low + high) / 2;
    if (braking(middle) > held) high = middle;
    else low = middle;
  }
  return high;
}
