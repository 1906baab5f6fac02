import type { Tuning } from '../server/profiles/model/profile.ts';
import { profileEditor as labels } from './texts/en/profile-editor.ts';
import { settingValues as t } from './texts/en/setting-values.ts';

export interface SettingRow {
  readonly key: string;
  readonly label: string;
  readonly value: string;
}

/** The settings of a profile in words, those in front first, each as the editor calls it. */
export function settingRows(tuning: Tuning): SettingRow[] {
  const { curve, drag } = tuning;
  const row = (key: string, label: string, value: string): SettingRow => ({ key, label, value });
  return [
    row('minDrive', labels.minDrive.label, t.percent(tuning.minDrive)),
    row('maxDrive', labels.maxDrive.label, t.percent(tuning.maxDrive)),
    row('curve', labels.shape.label, curve.kind === 'shape' ? t.shape(curve.shape) : t.points(curve.points)),
    row('rampUpMs', labels.rampUpMs.label, t.ramp(tuning.rampUpMs)),
    row('brakeFull', labels.brakeFull.label, t.percent(tuning.brakeFull)),
    row('drag', labels.dragStrength.label, t.drag(drag)),
    row('pwmHz', labels.pwmHz.label, t.frequency(tuning.pwmHz)),
    row('releaseBand', labels.releaseBand.label, t.percent(tuning.releaseBand)),
    row('decay', labels.decay.label, labels.decay[tuning.decay].label),
    row('rectify', labels.rectify.label, labels.rectify[tuning.rectify].label),
  ];
}
