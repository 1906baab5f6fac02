import type { TracePoint } from './model/trace.ts';

/** Movements of a trigger to look at a profile with. All are made up; times in ms, positions 0..1. */
export const readyTraces = {
  /** Down a straight, into a bend, feeding it on again, and stopping. */
  corner: [
    [0, 0],
    [120, 0],
    [260, 1],
    [900, 1],
    [1000, 0.3],
    [1150, 0.15],
    [1450, 0.15],
    [1550, 0.35],
    [1900, 0.6],
    [2200, 1],
    [2600, 1],
    [2700, 0],
    [3000, 0],
  ],
  /** Let go altogether, then crawled round. */
  hairpin: [
    [0, 1],
    [500, 1],
    [580, 0],
    [900, 0],
    [1000, 0.12],
    [1500, 0.2],
    [1800, 0.5],
    [2000, 1],
    [2400, 1],
  ],
  /** From rest to the end of the trigger, and held. */
  start: [
    [0, 0],
    [300, 0],
    [360, 1],
    [1500, 1],
  ],
  /** Small movements to and fro in the middle. */
  flutter: [
    [0, 0.4],
    [200, 0.55],
    [400, 0.3],
    [600, 0.5],
    [800, 0.25],
    [1000, 0.45],
    [1200, 0.2],
    [1400, 0.6],
    [1800, 1],
  ],
} as const satisfies Record<string, readonly TracePoint[]>;

export type ReadyTrace = keyof typeof readyTraces;

/** Milliseconds between two typed positions. */
export const typedEveryMs = 100;
const fewest = 2;
const most = 100;

/** Positions typed in percent, a tenth of a second apart: "0 60 100". Null for anything else. */
export function typedTrace(text: string): TracePoint[] | null {
  const words = text.trim().split(/[\s,;]+/);
  const positions = words.map((word) => (/^\d{1,3}(\.\d{1,2})?$/.test(word) ? Number(word) : Number.NaN));
  if (positions.length < fewest || positions.length > most) return null;
  if (!positions.every((position) => position >= 0 && position <= 100)) return null;
  return positions.map((position, index) => [index * typedEveryMs, position / 100]);
}

/** The movement that a form asks for: one of the ready ones by name, or `own` with what was typed; null for neither. */
export function traceFrom(choice: unknown, typed: unknown): readonly TracePoint[] | null {
  if (choice === 'own') return typeof typed === 'string' ? typedTrace(typed) : null;
  return typeof choice === 'string' && Object.hasOwn(readyTraces, choice) ? readyTraces[choice as ReadyTrace] : null;
}
