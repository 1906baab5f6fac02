import type { CarMotor } from './motor.ts';

/** Standard gravity, m/s2. */
const gravity = 9.80665;

/** What a motor and its car come to on the motor's shaft, in SI units. */
export interface Car {
  /** Winding and wiring: all that the motor's current goes through. */
  readonly ohm: number;
  readonly henry: number;
  readonly ke: number;
  /** Viscous friction, N m s/rad. */
  readonly b: number;
  /** Metres per radian of the motor. */
  readonly metresPerRad: number;
  /** Rotor alone, kg m2. */
  readonly rotorInertia: number;
  /** Rotor and car, while the tyres hold, kg m2. */
  readonly inertia: number;
  /** Dry friction of the motor alone, N m. */
  readonly rotorFriction: number;
  /** Dry friction of motor and rolling car, N m. */
  readonly friction: number;
  readonly massKg: number;
  /** Load on the track: weight and magnet, N. */
  readonly loadN: number;
  readonly rollingN: number;
  /** What the driven tyres hold at most, N. */
  readonly gripN: number;
  /** The same when they slide, as a share. */
  readonly slidingShare: number;
  readonly volts: number;
}

/** The car of a motor with rigid tyres: inertia and friction of the car are carried over to the shaft. */
export function carOf(motor: CarMotor): Car {
  const metresPerRad = motor.rM / motor.gear;
  const loadN = motor.mKg * gravity + motor.fMagN;
  const rollingN = motor.crr * loadN;
  return {
    ohm: motor.rOhm + motor.wiringOhm,
    henry: motor.lMh / 1000,
    ke: motor.keVs,
    b: motor.b,
    metresPerRad,
    rotorInertia: motor.jm,
    inertia: motor.jm + motor.mKg * metresPerRad ** 2,
    rotorFriction: motor.tf,
    friction: motor.tf + rollingN * metresPerRad,
    massKg: motor.mKg,
    loadN,
    rollingN,
    gripN: motor.mu * (motor.rear * motor.mKg * gravity + motor.fMagN),
    slidingShare: motor.rho,
    volts: motor.vs,
  };
}
