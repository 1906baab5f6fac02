import type { Car } from './car.ts';
import type { MeanCurrent } from './current-law.ts';

/** Motor and car apart, because tyres slip. */
export interface SlipState {
  readonly motorRadPerS: number;
  readonly carMPerS: number;
}

/** Slip at which a tyre gives most, and over which a sliding tyre loses grip, m/s. Design choice, no source. */
const bestSlip = 0.05;
const slidingScale = 0.5;

/** Force of the driven tyres on the car at a slip (tread faster than the car: above zero), N. */
export function tyreForce({ gripN, slidingShare }: Car, slip: number): number {
  const size = Math.abs(slip);
  if (size <= bestSlip) return (gripN * slip) / bestSlip;
  const left = slidingShare + (1 - slidingShare) * Math.exp(-(size - bestSlip) / slidingScale);
  return Math.sign(slip) * gripN * left;
}

/**
 * One linearly implicit step of
 *
 *     Jm dw/dt = Ke i(w) - b w - Tf - F n        m dv/dt = F - crr N
 *
 * in closed form. While tyres grip, their force is taken at the end of the step, which keeps a stiff tyre stable; a
 * sliding tyre's force lags one step. Neither wheels nor car run backwards.
 *
 * @param current mean current at the motor's speed, and its slope over the back EMF
 */
export function slipStep(
  car: Car,
  state: SlipState,
  current: Pick<MeanCurrent, 'meanA' | 'slope'>,
  h: number,
): SlipState {
  const { motorRadPerS: w, carMPerS: v } = state;
  const n = car.metresPerRad;
  const torque = car.ke * current.meanA - car.rotorFriction;
  const slope = car.ke ** 2 * current.slope;
  const motor = car.rotorInertia / h - slope + car.b;
  const motorPush = (car.rotorInertia / h - slope) * w + torque;
  const mass = car.massKg / h;
  const carPush = mass * v - car.rollingN;
  const grip = car.gripN / bestSlip;

  const stuck = grippingStep(motor + n * n * grip, n * grip, mass + grip, motorPush, carPush);
  if (Math.abs(n * stuck.motorRadPerS - stuck.carMPerS) <= bestSlip) return stuck;
  const slip = n * w - v;
  // A tyre that begins to slide in this step does so from its best grip.
  const force =
    Math.abs(slip) > bestSlip ? tyreForce(car, slip) : car.gripN * Math.sign(n * stuck.motorRadPerS - stuck.carMPerS);
  return {
    motorRadPerS: Math.max(0, (motorPush - n * force) / motor),
    carMPerS: Math.max(0, (carPush + force) / mass),
  };
}

/** Solves [a, -c; -c, d] (w, v) = (p, q); a part that would run backwards stays at rest. */
function grippingStep(a: number, c: number, d: number, p: number, q: number): SlipState {
  const determinant = a * d - c * c;
  const w = (p * d + c * q) / determinant;
  const v = (a * q + c * p) / determinant;
  if (w < 0) return { motorRadPerS: 0, carMPerS: Math.max(0, q / d) };
  if (v < 0) return { motorRadPerS: Math.max(0, p / a), carMPerS: 0 };
  return { motorRadPerS: w, carMPerS: v };
}
