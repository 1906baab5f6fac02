/** dz/dt = A z + g for a state of two numbers, with constant A and g. A is not singular. */
export interface LinearSystem {
  readonly a11: number;
  readonly a12: number;
  readonly a21: number;
  readonly a22: number;
  readonly g1: number;
  readonly g2: number;
}

export type State2 = readonly [number, number];

/** The exact solution of a linear system, stable at any length of step. */
export interface Flow {
  /** State after `h` seconds, for h >= 0. */
  readonly after: (z: State2, h: number) => State2;
  readonly rate: (z: State2) => State2;
  /** Where it comes to rest. */
  readonly rest: State2;
  /** In so many seconds each part of the state has at most one extremum; infinite for real poles. */
  readonly oneExtremumS: number;
}

/**
 * z(h) = rest + exp(A h) (z - rest), with
 * exp(A h) = e^(p h) [cosh(q h) I + sinh(q h) / q (A - p I)], 2 p the trace and q^2 = ((a11 - a22) / 2)^2 + a12 a21;
 * cos and sin for q^2 < 0, the limit h for sinh(q h) / q at q = 0. For q^2 > 0 the two exponentials are formed apart, so
 * that a long step does not overflow.
 */
export function flowOf(system: LinearSystem): Flow {
  const { a11, a12, a21, a22, g1, g2 } = system;
  const determinant = a11 * a22 - a12 * a21;
  const rest: State2 = [(a12 * g2 - a22 * g1) / determinant, (a21 * g1 - a11 * g2) / determinant];
  const p = (a11 + a22) / 2;
  const square = ((a11 - a22) / 2) ** 2 + a12 * a21;
  const factors = factorsOf(p, square, determinant);
  return {
    rest,
    oneExtremumS: square < 0 ? Math.PI / 2 / Math.sqrt(-square) : Number.POSITIVE_INFINITY,
    rate: ([z1, z2]) => [a11 * z1 + a12 * z2 + g1, a21 * z1 + a22 * z2 + g2],
    after([z1, z2], h) {
      const [even, odd] = factors(h);
      const d1 = z1 - rest[0];
      const d2 = z2 - rest[1];
      return [
        rest[0] + even * d1 + odd * ((a11 - p) * d1 + a12 * d2),
        rest[1] + even * d2 + odd * (a21 * d1 + (a22 - p) * d2),
      ];
    },
  };
}

/** e^(p h) cosh(q h) and e^(p h) sinh(q h) / q. */
function factorsOf(p: number, square: number, determinant: number): (h: number) => [number, number] {
  if (square > 0) {
    const q = Math.sqrt(square);
    // One pole directly, the other from their product: a difference of two like numbers loses digits.
    const fast = p < 0 ? p - q : p + q;
    const slow = determinant / fast;
    return (h) => {
      const ofSlow = Math.exp(slow * h);
      const apart = Math.expm1((fast - slow) * h);
      return [ofSlow * (1 + apart / 2), (ofSlow * apart) / (fast - slow)];
    };
  }
  if (square < 0) {
    const q = Math.sqrt(-square);
    return (h) => {
      const size = Math.exp(p * h);
      return [size * Math.cos(q * h), (size * Math.sin(q * h)) / q];
    };
  }
  return (h) => {
    const size = Math.exp(p * h);
    return [size, size * h];
  };
}

/**
 * First time in 0..h at which `value` leaves the side of zero it starts on, by bisection; null when it does not.
 * `value` may have one extremum in 0..h, which `rate` finds.
 *
 * @param side 1 when the start counts as above zero, -1 as below: a start on zero itself belongs to a side too
 */
export function crossing(
  value: (t: number) => number,
  rate: (t: number) => number,
  side: 1 | -1,
  h: number,
): number | null {
  if (side * value(h) < 0) return bisect((t) => side * value(t) < 0, 0, h);
  // It may have been across and back: only if it first goes towards zero and then away from it.
  if (side * rate(0) >= 0 || side * rate(h) <= 0) return null;
  const turn = bisect((t) => side * rate(t) > 0, 0, h);
  return side * value(turn) < 0 ? bisect((t) => side * value(t) < 0, 0, turn) : null;
}

/** The least t from which on a condition holds that is false at `from` and true at `to`; to 2^-52 of the stretch. */
export function bisect(holds: (t: number) => boolean, from: number, to: number): number {
  let low = from;
  let high = to;
  for (let halving = 0; halving < 52; halving++) {
    const middle = (low + high) / 2;
    if (holds(middle)) high = middle;
    else low = middle;
  }
  return high;
}
