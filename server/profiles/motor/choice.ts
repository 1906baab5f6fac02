import { type CarMotor, type PresetName, presets } from './motor.ts';
import { isPreset } from './motor-schema.ts';

/** A motor by what it is chosen with: a preset, or the car's own values. */
export type MotorName = PresetName | 'car';

/**
 * The motor that an address asks for; without a word, or with one that means nothing here, the car's own or else the
 * middle preset.
 *
 * @param asked `motor` of the query, whatever it is
 * @param measured the car's own values, if it has some
 */
export function chosenMotor(asked: unknown, measured: CarMotor | null): { chosen: MotorName; motor: CarMotor } {
  if (isPreset(asked)) return { chosen: asked, motor: presets[asked] };
  if (measured) return { chosen: 'car', motor: measured };
  return { chosen: 'club', motor: presets.club };
}
