import type { Car } from './car.ts';
import { bisect, crossing, type Flow, flowOf, type State2 } from './linear.ts';

/** What the terminals see. Open: no drive and no short; current dies through the path of a diode, and then none flows. */
export type Feed =
  | { readonly volts: number }
  | {
      /** Terminal voltage while a current above zero dies; below or at zero. */
      readonly dyingVolts: number;
      /** Terminal voltage while a current below zero flows back into the supply. */
      readonly backVolts: number;
    };

export interface MotorState {
  readonly currentA: number;
  readonly speedRadPerS: number;
}

/** A stretch of time in which the motor was one linear system: for energy books and peaks. */
export interface Piece {
  readonly from: MotorState;
  readonly to: MotorState;
  readonly durationS: number;
  /** Terminal voltage; null while no current can flow. */
  readonly volts: number | null;
  /** The state within the piece. */
  readonly at: (t: number) => MotorState;
}

export const atRest: MotorState = { currentA: 0, speedRadPerS: 0 };

/**
 * Motor and car with rigid tyres, exactly:
 *
 *     L di/dt = v - R i - Ke w        J dw/dt = Ke i - b w - Tc sign(w)
 *
 * Between events each stretch is linear with constant input, so no step is ever too long. Events are found by bisection:
 * speed through zero, current through zero while open, and breaking away from rest (at rest with |Ke i| <= Tc only the
 * electrical equation runs).
 *
 * @returns the state after `durationS`
 * @param seen is handed every stretch between events
 */
export function advance(
  car: Car,
  start: MotorState,
  feed: Feed,
  durationS: number,
  seen?: (piece: Piece) => void,
): MotorState {
  let state = start;
  let left = durationS;
  while (left > 0) {
    const stretch = stretchOf(car, state, feed);
    const longest = Math.min(left, stretch.longestS);
    const end = stretch.endsAt(longest);
    const durationS = end ? end.t : longest;
    const to = end ? end.state : stretch.at(longest);
    seen?.({ from: state, to, durationS, volts: stretch.volts, at: stretch.at });
    state = to;
    left -= durationS;
  }
  return state;
}

interface Stretch {
  readonly volts: number | null;
  readonly longestS: number;
  readonly at: (t: number) => MotorState;
  /** The event in 0..h that ends it, if there is one. */
  readonly endsAt: (h: number) => { t: number; state: MotorState } | null;
}

function stretchOf(car: Car, state: MotorState, feed: Feed): Stretch {
  const volts = terminalVolts(car, state, feed);
  const turning = turningOf(car, state);
  if (volts === null) return coasting(car, state, turning);
  // While open the current keeps its sign until it is gone.
  const currentSide = 'volts' in feed ? null : volts === feed.dyingVolts ? 1 : -1;
  return turning === 0 ? locked(car, state, volts, currentSide) : running(car, state, volts, turning, currentSide);
}

/** Null while the terminals are open and no current flows. */
function terminalVolts(car: Car, { currentA, speedRadPerS }: MotorState, feed: Feed): number | null {
  if ('volts' in feed) return feed.volts;
  if (currentA > 0) return feed.dyingVolts;
  if (currentA < 0) return feed.backVolts;
  // No current yet: one starts when the motor turns so fast, or so fast backwards, that a diode opens.
  const backEmf = car.ke * speedRadPerS;
  if (backEmf > feed.backVolts) return feed.backVolts;
  if (backEmf < Math.min(0, feed.dyingVolts)) return feed.dyingVolts;
  return null;
}

/** 1 forwards, -1 backwards, 0 held at rest by dry friction. */
function turningOf(car: Car, { currentA, speedRadPerS }: MotorState): 1 | -1 | 0 {
  if (speedRadPerS !== 0) return speedRadPerS > 0 ? 1 : -1;
  const torque = car.ke * currentA;
  if (Math.abs(torque) <= car.friction) return 0;
  return torque > 0 ? 1 : -1;
}

/** Systems of one car come up again at every switching: each is worked out once. */
const flows = new WeakMap<Car, Map<string, Flow>>();

function flowFor(car: Car, volts: number, turning: 1 | -1): Flow {
  let known = flows.get(car);
  if (!known) {
    known = new Map();
    flows.set(car, known);
  }
  const key = `${volts} ${turning}`;
  let flow = known.get(key);
  if (!flow) {
    flow = flowOf({
      a11: -car.ohm / car.henry,
      a12: -car.ke / car.henry,
      a21: car.ke / car.inertia,
      a22: -car.b / car.inertia,
      g1: volts / car.henry,
      g2: (-turning * car.friction) / car.inertia,
    });
    known.set(key, flow);
  }
  return flow;
}

function running(car: Car, state: MotorState, volts: number, turning: 1 | -1, currentSide: 1 | -1 | null): Stretch {
  const flow = flowFor(car, volts, turning);
  const z: State2 = [state.currentA, state.speedRadPerS];
  const at = (t: number): MotorState => {
    const [currentA, speedRadPerS] = flow.after(z, t);
    return { currentA, speedRadPerS };
  };
  const leaves = (part: 0 | 1, side: 1 | -1, h: number) =>
    crossing(
      (t) => flow.after(z, t)[part],
      (t) => flow.rate(flow.after(z, t))[part],
      side,
      h,
    );
  return {
    volts,
    longestS: flow.oneExtremumS,
    at,
    endsAt(h) {
      const stops = leaves(1, turning, h);
      const dies = currentSide === null ? null : leaves(0, currentSide, h);
      if (dies !== null && (stops === null || dies <= stops)) {
        return { t: dies, state: { ...at(dies), currentA: 0 } };
      }
      return stops === null ? null : { t: stops, state: { ...at(stops), speedRadPerS: 0 } };
    },
  };
}

/** Held at rest: the current alone moves, towards volts / R, until it is strong enough. */
function locked(car: Car, state: MotorState, volts: number, currentSide: 1 | -1 | null): Stretch {
  const goal = volts / car.ohm;
  const current = (t: number) => goal + (state.currentA - goal) * Math.exp((-car.ohm / car.henry) * t);
  const breaksAway = (t: number) => car.ke * Math.abs(current(t)) > car.friction;
  const dead = (t: number) => currentSide !== null && currentSide * current(t) < 0;
  return {
    volts,
    longestS: Number.POSITIVE_INFINITY,
    at: (t) => ({ currentA: current(t), speedRadPerS: 0 }),
    endsAt(h) {
      if (dead(h)) return { t: bisect(dead, 0, h), state: atRest };
      if (!breaksAway(h)) return null;
      const t = bisect(breaksAway, 0, h);
      return { t, state: { currentA: current(t), speedRadPerS: 0 } };
    },
  };
}

/** Without current: friction alone slows it. */
function coasting(car: Car, state: MotorState, turning: 1 | -1 | 0): Stretch {
  const speed = (t: number) => (turning === 0 ? 0 : turning * coastingSpeed(car, Math.abs(state.speedRadPerS), t));
  const stopped = (t: number) => turning * speed(t) < 0;
  return {
    volts: null,
    longestS: Number.POSITIVE_INFINITY,
    at: (t) => ({ currentA: 0, speedRadPerS: speed(t) }),
    endsAt: (h) => (turning !== 0 && stopped(h) ? { t: bisect(stopped, 0, h), state: atRest } : null),
  };
}

/** Speed after t seconds of J dw/dt = -b w - Tc, also beyond its stop. */
function coastingSpeed(car: Car, from: number, t: number): number {
  if (car.b === 0) return from - (car.friction / car.inertia) * t;
  const x = (-car.b / car.inertia) * t;
  return from + (from + car.friction / car.b) * Math.expm1(x);
}
