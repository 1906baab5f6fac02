import { queueRotation } from './queue.ts';
import type { DrawRequest, Rotation } from './rotation.ts';

/** How far a draw is. */
export interface DrawProgress {
  /** Units of work done and in all; `of` is at least 1. */
  readonly done: number;
  readonly of: number;
  /** The best rotation so far when it is better than at the last progress, else null. The first progress carries one. */
  readonly better: Rotation | null;
}

/**
 * Draws a rotation step by step: yields often, so that the caller can show progress, stop, or do something else in
 * between. The same request gives the same progress and the same rotation on every machine. Stopping at a progress and
 * taking the rotation reported last is a draw like any other.
 *
 * @param request a request that `parseDrawRequest` accepts
 */
export function* drawing(request: DrawRequest): Generator<DrawProgress, Rotation> {
  const rotation = queueRotation(request);
  yield { done: 1, of: 1, better: rotation };
  return rotation;
}

/** Draws a rotation in one go. */
export function draw(request: DrawRequest): Rotation {
  const steps = drawing(request);
  for (;;) {
    const step = steps.next();
    if (step.done) return step.value;
  }
}
