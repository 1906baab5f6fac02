import type { Tuning } from '../model/profile.ts';
import { brakeShareOfFull } from '../motor/brake-grip.ts';
import { carOf } from '../motor/car.ts';
import { presets } from '../motor/motor.ts';
import type { BrakeEffect } from './report.ts';

/** Back EMF at which brakes are told: a car at about half its speed. */
const backEmf = 6;

/**
 * What another switching frequency makes of the chopped brakes of a profile, on the club motor, whose values are orders of
 * magnitude. A brake that is on all the time, or never, does not depend on it.
 */
export function brakeEffectsOf(tuning: Tuning, toHz: number): BrakeEffect[] {
  if (toHz === tuning.pwmHz) return [];
  const brakes = [
    { setting: 'brakeFull', share: tuning.brakeFull },
    { setting: 'drag.strength', share: tuning.rectify === 'sync' ? 0 : tuning.drag.strength },
  ] as const;
  return brakes
    .filter(({ share }) => share > 0 && share < 1000)
    .map(({ setting, share }) => ({
      setting,
      from: brakingAt(share, tuning.pwmHz, tuning.decay),
      to: brakingAt(share, toHz, tuning.decay),
    }));
}

/** Braking current without drive, in permille of that of shorted terminals at the same speed. */
export function brakingAt(offShort: number, pwmHz: number, decay: Tuning['decay']): number {
  const brake = { offShort: offShort / 1000, pwmHz, decay };
  return Math.round(1000 * brakeShareOfFull(carOf(presets.club), brake, backEmf));
}
