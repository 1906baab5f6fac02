/**
 * Lower bounds that hold for every rotation with the same drivers, lanes in use, number of heats and runs a driver.
 * All are counting arguments: a fixed total spread over a fixed number of cells has its least sum of squares when the
 * cells differ by at most one, and a convex cost of heat sizes is least when sizes differ by at most one.
 */

/** What the bounds depend on. */
export interface Shape {
  readonly heats: number;
  /** Runs of each driver. */
  readonly runs: readonly number[];
  /** Lane numbers in use. */
  readonly lanes: readonly number[];
  /** The most cars one heat may hold. */
  readonly mostCars: number;
}

/** Smallest sum of squares of `cells` integers of 0 or more with the given sum. */
export function balancedSquares(sum: number, cells: number): number {
  if (cells === 0) return 0;
  const q = Math.floor(sum / cells);
  return cells * q * q + (sum - q * cells) * (2 * q + 1);
}

/** Sum of a convex cost over parts that add up to `total` and differ by at most one. */
function overEvenParts(total: number, parts: number, cost: (part: number) => number): number {
  if (parts === 0) return 0;
  const small = Math.floor(total / parts);
  const large = total - small * parts;
  return large * cost(small + 1) + (parts - large) * cost(small);
}

const seatsOf = (shape: Shape) => shape.runs.reduce((sum, runs) => sum + runs, 0);
const pairsOf = (shape: Shape) => (shape.runs.length * (shape.runs.length - 1)) / 2;

/** Lane spread: 0 where every driver's runs divide by the lanes, else 1. */
export function laneSpreadBound(shape: Shape): number {
  return shape.runs.some((runs) => runs % shape.lanes.length !== 0) ? 1 : 0;
}

/** Sum over pairs of squared meetings. */
export function opponentsBound(shape: Shape): number {
  const meetings = overEvenParts(seatsOf(shape), shape.heats, (cars) => (cars * (cars - 1)) / 2);
  return balancedSquares(meetings, pairsOf(shape));
}

/**
 * Back-to-back runs. A driver with r runs in H heats has at least 2r - H - 1; two following heats with s and t cars
 * share at least s + t - n drivers.
 */
export function backToBackBound(shape: Shape): number {
  const { heats, runs } = shape;
  const byDriver = runs.reduce((sum, r) => sum + Math.max(0, 2 * r - heats - 1), 0);
  const byHeat = 2 * seatsOf(shape) - 2 * shape.mostCars - runs.length * (heats - 1);
  return Math.max(byDriver, byHeat, 0);
}

/**
 * Longest sit-out. w + 1 heats in a row must hold all n drivers; H - r heats sat out fall into r + 1 stretches.
 */
export function sitOutBound(shape: Shape): number {
  const { heats, runs, mostCars } = shape;
  const byDriver = runs.map((r) => Math.ceil((heats - r) / (r + 1)));
  const byHeat = Math.min(heats, Math.ceil(runs.length / mostCars) - 1);
  return Math.max(0, byHeat, ...byDriver);
}

/**
 * Sum over pairs of squared heats side by side. Lanes in use form g blocks of neighbouring numbers with W - g
 * adjacencies; each empty lane removes at most two.
 */
export function neighboursBound(shape: Shape): number {
  const { lanes, heats } = shape;
  const blocks = lanes.filter((lane) => !lanes.includes(lane - 1)).length;
  const sideBySide = (cars: number) => Math.max(0, lanes.length - blocks - 2 * (lanes.length - cars));
  return balancedSquares(overEvenParts(seatsOf(shape), heats, sideBySide), pairsOf(shape));
}

/**
 * Sum over ordered pairs of squared take-overs of a lane. A lane used u times in H heats is used in two heats running
 * at least 2u - H - 1 times; a driver who runs it c times takes over from themselves at most c - 1 times. Holds for
 * rotations in which each driver's lane counts differ by at most one.
 */
export function carryOverBound(shape: Shape): number {
  const width = shape.lanes.length;
  const fromSelf = shape.runs.reduce((sum, runs) => sum + Math.max(0, Math.ceil(runs / width) - 1), 0);
  const takeOvers = (uses: number) => Math.max(0, 2 * uses - shape.heats - 1 - fromSelf);
  return balancedSquares(overEvenParts(seatsOf(shape), width, takeOvers), 2 * pairsOf(shape));
}

/** Spread of `duties` over `people`: 0 where they divide evenly, else 1. */
export function dutySpreadBound(duties: number, people: number): number {
  return people > 0 && duties % people !== 0 ? 1 : 0;
}

/** Sum over drivers of the doubled distance from mid-night: at least 1 for a driver whose doubled ideal is odd. */
export function timeOfNightBound(shape: Shape): number {
  return shape.runs.filter((runs) => (runs * (shape.heats + 1)) % 2 === 1).length;
}
