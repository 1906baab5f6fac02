import { curveFunction, pointsCurve, shapeCurve } from '../model/curve.ts';
import { type Curve, type CurvePoint, curvePoints } from '../model/profile.ts';
import type { CurveError } from './report.ts';
import type { Steps } from './sheet.ts';

type CurveValue = (u: number) => number;

/** Where curves are held against each other: u = 0, 0.01, … 1. */
const grid = Array.from({ length: 101 }, (_, i) => i / 100);

/** Half a permille: what whole numbers cannot say anyway. */
const nothing = 0.0005;

/** Whether two curves are the same but for what whole permille cannot say. */
export function sameCurve(a: CurveValue, b: CurveValue): boolean {
  return grid.every((u) => Math.abs(a(u) - b(u)) <= nothing);
}

/** @param span drive from minimum to maximum, permille: what a curve stands for on this profile */
export function curveErrorOf(a: CurveValue, b: CurveValue, span: number): CurveError {
  const errors = grid.map((u) => (Math.abs(a(u) - b(u)) * span) / 10);
  return {
    largestPoints: Math.max(...errors),
    rmsPoints: Math.sqrt(errors.reduce((sum, error) => sum + error * error, 0) / errors.length),
  };
}

/** The allowed shape with the least sum of squared differences; a tie goes down. */
export function fitShape(value: CurveValue, steps: Steps): number {
  const wanted = grid.map(value);
  let best = steps.min;
  let least = Number.POSITIVE_INFINITY;
  for (let shape = steps.min; shape <= steps.max; shape += steps.step) {
    const curve = shapeCurve(shape).value;
    const sum = grid.reduce((total, u, i) => total + (curve(u) - (wanted[i] as number)) ** 2, 0);
    if (sum < least) [least, best] = [sum, shape];
  }
  return best;
}

/**
 * Points through which a curve comes near to another: begins with a straight line and puts a point where the two are
 * furthest apart, until there are `most` or nothing is left to mend.
 *
 * @param most 2..9
 * @param corners triggers in permille at which the other curve may have a corner
 */
export function fitPoints(value: CurveValue, most: number, corners: readonly number[] = []): CurvePoint[] {
  const places = [...Array.from({ length: 99 }, (_, i) => 10 * (i + 1)), ...corners];
  let points: CurvePoint[] = [
    [0, 0],
    [1000, 1000],
  ];
  while (points.length < most) {
    const now = pointsCurve(points).value;
    const apart = (x: number) => points.every(([taken]) => Math.abs(taken - x) >= curvePoints.leastApart);
    const worst = places
      .filter(apart)
      .map((x) => ({ x, error: Math.abs(now(x / 1000) - value(x / 1000)) }))
      .reduce((a, b) => (b.error > a.error ? b : a), { x: 0, error: nothing });
    if (worst.x === 0) break;
    const added: CurvePoint = [worst.x, Math.round(1000 * value(worst.x / 1000))];
    points = [...points, added].sort(([a], [b]) => a - b);
  }
  return points;
}

/** A curve of straight lines between entries at equal distances. */
export function tableValue(entries: readonly number[]): CurveValue {
  const last = entries.length - 1;
  return (u) => {
    const at = Math.min(last - 1, Math.floor(u * last));
    const [a, b] = [entries[at], entries[at + 1]] as [number, number];
    return a + (b - a) * (u * last - at);
  };
}

/** Triggers in permille at which a curve may have a corner. */
export function cornersOf(curve: Curve): number[] {
  return curve.kind === 'points' ? curve.points.slice(1, -1).map(([x]) => x) : [];
}

export const valueOf = (curve: Curve): CurveValue => curveFunction(curve).value;
