import type { TriggerEnds } from './calibrate.ts';
import { modulo } from './circle.ts';

/** Position of a trigger whose sensor shows `count`: 0 released, 1 fully pressed. */
export function position(ends: TriggerEnds, count: number): number {
  const { bits, released, direction, travel, deadBand } = ends;
  const turn = 2 ** bits;
  const along = modulo(direction * (count - released), turn);
  const y = along >= (turn + travel) / 2 ? along - turn : along;
  return Math.min(1, Math.max(0, (y - deadBand) / (travel - 2 * deadBand)));
}
