import type { Car } from './car.ts';

/** How long and how far, from a speed to rest. */
export interface Stop {
  readonly timeS: number;
  readonly distanceM: number;
}

/** Damping of a motor with its terminals on a voltage source or a short, N m s/rad. */
const damping = (car: Car) => car.b + car.ke ** 2 / car.ohm;

/** Speed that the motor reaches at a steady voltage, rad/s; 0 where friction holds it. */
export function steadySpeed(car: Car, volts = car.volts): number {
  return Math.max(0, ((car.ke * volts) / car.ohm - car.friction) / damping(car));
}

/** L / R, s. */
export const electricalTimeConstant = (car: Car): number => car.henry / car.ohm;

/** J / (b + Ke^2 / R), s: in so long 63 % of a change of speed is done. */
export const mechanicalTimeConstant = (car: Car): number => car.inertia / damping(car);

/** Poles of current and speed, 1/s, as real and imaginary part; the slower one first. */
export function poles(car: Car): [[number, number], [number, number]] {
  const half = -(car.ohm / car.henry + car.b / car.inertia) / 2;
  const product = (car.ohm * car.b + car.ke ** 2) / (car.henry * car.inertia);
  const square = half * half - product;
  if (square < 0) {
    const imaginary = Math.sqrt(-square);
    return [
      [half, imaginary],
      [half, -imaginary],
    ];
  }
  const fast = half - Math.sqrt(square);
  return [
    [product / fast, 0],
    [fast, 0],
  ];
}

/** Current of a motor that is held, A. */
export const stallCurrent = (car: Car): number => car.volts / car.ohm;

/** Terminals shorted all the time and tyres that hold: t = tm ln(1 + w / wc), n (w tm - wc t), wc = Tc / (b + Ke^2 / R). */
export function brakedStop(car: Car, speedRadPerS: number): Stop {
  return stop(car, speedRadPerS, mechanicalTimeConstant(car), car.friction / damping(car));
}

/** Neither drive nor short: friction alone. */
export function coastStop(car: Car, speedRadPerS: number): Stop {
  if (car.b > 0) return stop(car, speedRadPerS, car.inertia / car.b, car.friction / car.b);
  const slowing = car.friction / car.inertia;
  const timeS = speedRadPerS / slowing;
  return { timeS, distanceM: (car.metresPerRad * speedRadPerS * timeS) / 2 };
}

/** dw/dt = -(w + w0) / tau from a speed to rest. Without friction it never rests: endless time, finite distance. */
function stop(car: Car, speed: number, tau: number, w0: number): Stop {
  if (w0 === 0) {
    return { timeS: speed > 0 ? Number.POSITIVE_INFINITY : 0, distanceM: car.metresPerRad * speed * tau };
  }
  const x = speed / w0;
  return {
    timeS: tau * Math.log1p(x),
    // x - ln(1 + x) loses its digits for a small x; its series does not.
    distanceM: car.metresPerRad * w0 * tau * (x < 1e-4 ? x * x * (1 / 2 - x / 3 + (x * x) / 4) : x - Math.log1p(x)),
  };
}
