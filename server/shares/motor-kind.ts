import { type CarMotor, type PresetName, presets } from '../profiles/motor/motor.ts';
import { presetNames } from '../profiles/motor/motor-schema.ts';

/** The preset whose winding is nearest to a measured motor's, by ratio: how a list of many motors is sorted out. */
export function motorKind({ rOhm }: Pick<CarMotor, 'rOhm'>): PresetName {
  const apart = (name: PresetName) => Math.abs(Math.log(rOhm / presets[name].rOhm));
  return presetNames.reduce((nearest, name) => (apart(name) < apart(nearest) ? name : nearest));
}
