import { scaleLinear } from 'd3-scale';
import { line } from 'd3-shape';
import { onSquare, type Tick } from './components/plot.tsx';
import { rounded } from './pace-numbers.ts';

/** An axis over numbers with round marks: where a value lies on it, 0..1, and the marks. */
export interface Axis {
  readonly place: (value: number) => number;
  readonly ticks: readonly Tick[];
}

/** @param nice whether the ends become round numbers too */
export function axisOf(from: number, to: number, about: number, nice = true): Axis {
  const raw = scaleLinear([from, to > from ? to : from + 1], [0, 1]);
  const scale = nice ? raw.nice(about) : raw;
  const values = scale.ticks(about);
  const apart = values.length > 1 ? (values[1] as number) - (values[0] as number) : 1;
  const digits = Math.max(0, -Math.floor(Math.log10(apart) + 1e-9));
  return {
    place: (value) => scale(value),
    ticks: values.map((value) => ({ at: scale(value), label: rounded(value, digits) })),
  };
}

export type Point = readonly [number, number];

/** A path through points given in the units of two axes. */
export function pathOf(points: readonly Point[], x: Axis, y: Axis): string {
  const path = line<Point>()
    .x(([at]) => onSquare.x(x.place(at)))
    .y(([, value]) => onSquare.y(y.place(value)))
    .digits(1);
  return path(points) ?? '';
}

export const zipped = (xs: readonly number[], ys: readonly number[]): Point[] => xs.map((x, k) => [x, ys[k] as number]);
