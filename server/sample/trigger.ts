import type { TriggerReadings } from '../profiles/calibration/calibrate.ts';
import { randomFrom } from '../shared/random.ts';

const perSecond = 100;
const bits = 12;

/**
 * Readings of a trigger as a check asks for: a second at rest, three slow strokes held half a second each, and hands off.
 *
 * @param ends counts at rest and fully pressed
 */
export function triggerReadings(
  ends: { readonly rest: number; readonly pressed: number },
  seed: number,
): TriggerReadings {
  const random = randomFrom(seed);
  const counts: number[] = [];
  const hold = (share: number, samples: number) => {
    for (let i = 0; i < samples; i++) {
      const at = ends.rest + (ends.pressed - ends.rest) * share + 1.2 * random.normal();
      counts.push(Math.min(2 ** bits - 1, Math.max(0, Math.round(at))));
    }
  };
  const move = (from: number, to: number) => {
    for (let i = 1; i <= perSecond / 2; i++) hold(from + ((to - from) * i) / (perSecond / 2), 1);
  };
  hold(0, perSecond);
  for (let stroke = 0; stroke < 3; stroke++) {
    move(0, 1);
    hold(1, perSecond / 2);
    move(1, 0);
    hold(0, perSecond / 4);
  }
  hold(0, perSecond / 2);
  return { bits, restSamples: perSecond, counts };
}
