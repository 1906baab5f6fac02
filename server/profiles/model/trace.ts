import { ClosingDetector, offShort } from './brake.ts';
import { throttleOf } from './duty.ts';
import type { Tuning } from './profile.ts';

/** [milliseconds, trigger position 0..1]; times never falling, straight lines between. */
export type TracePoint = readonly [number, number];

/** A trace for people to look at, not a recording of a race. */
export const longestTraceMs = 60_000;
export const mostTracePoints = 1000;

/** What the controller does at one millisecond of a trigger trace. */
export interface TraceRow {
  readonly ms: number;
  readonly x: number;
  readonly closing: boolean;
  /** Duty after the ramp, 0..1. */
  readonly duty: number;
  /** Off-time short share, 0..1. */
  readonly offShort: number;
}

/**
 * Duty after one step of the ramp. Power off is never delayed; leaving rest starts at minimum drive at once.
 *
 * @param before duty before the step
 * @param target duty that the trigger asks for
 * @param dtMs length of the step
 */
export function rampStep(
  settings: Pick<Tuning, 'minDrive' | 'rampUpMs'>,
  before: number,
  target: number,
  dtMs: number,
): number {
  if (target <= before || settings.rampUpMs === 0) return target;
  const from = Math.max(before, Math.min(settings.minDrive / 1000, target));
  return Math.min(target, from + dtMs / settings.rampUpMs);
}

/**
 * A row for every millisecond from the first point to the last, both included. The controller is at rest before. Of two
 * points at the same time the second holds from the millisecond after, so that a ramp has run as long as the row says.
 */
export function traceRows(tuning: Tuning, points: readonly TracePoint[]): TraceRow[] {
  const { duty: asked } = throttleOf(tuning);
  const detector = new ClosingDetector();
  const first = Math.round(points[0]?.[0] ?? 0);
  const last = Math.round(points.at(-1)?.[0] ?? 0);
  const rows: TraceRow[] = [];
  let duty = 0;
  let leg = 0;
  for (let ms = first; ms <= last; ms++) {
    while (leg < points.length - 2 && ms > (points[leg + 1] as TracePoint)[0]) leg++;
    const x = between(points[leg], points[leg + 1], ms);
    const closing = detector.step(x, 0.001);
    duty = rampStep(tuning, duty, asked(x), ms === first ? 0 : 1);
    rows.push({ ms, x, closing, duty, offShort: offShort(tuning, x, closing) });
  }
  return rows;
}

function between(from: TracePoint | undefined, to: TracePoint | undefined, ms: number): number {
  if (!from) return 0;
  if (!to || to[0] === from[0]) return to?.[1] ?? from[1];
  const share = Math.min(1, Math.max(0, (ms - from[0]) / (to[0] - from[0])));
  // A trigger that passes the end of a zone is on it, not a last bit beyond.
  return Math.round(1e12 * (from[1] + share * (to[1] - from[1]))) / 1e12;
}
