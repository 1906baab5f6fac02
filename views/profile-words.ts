import type { StoredChoice } from '../server/profiles/choices-store.ts';
import type { Profile } from '../server/profiles/model/profile.ts';
import type { KeptProfile, ProfileVersion } from '../server/profiles/store.ts';
import { percent } from './format.ts';
import { profileEditor as labels } from './texts/en/profile-editor.ts';
import { profiles as t } from './texts/en/profiles.ts';

/** One setting of a profile as it is read: its label and its value. */
export type SettingWords = { key: string; label: string; value: string };

/** The seven settings in front of the editor, in its order. */
export function frontSettings(setup: Profile): SettingWords[] {
  const { curve } = setup;
  return [
    { key: 'minDrive', label: labels.minDrive.label, value: percent(setup.minDrive) },
    { key: 'maxDrive', label: labels.maxDrive.label, value: percent(setup.maxDrive) },
    {
      key: 'shape',
      label: labels.shape.label,
      value: curve.kind === 'shape' ? t.settings.shape(curve.shape) : t.settings.points(curve.points.length),
    },
    { key: 'rampUpMs', label: labels.rampUpMs.label, value: t.settings.ms(setup.rampUpMs) },
    { key: 'brakeFull', label: labels.brakeFull.label, value: percent(setup.brakeFull) },
    { key: 'dragStrength', label: labels.dragStrength.label, value: percent(setup.drag.strength) },
    { key: 'pwmHz', label: labels.pwmHz.label, value: t.settings.hz(setup.pwmHz) },
  ];
}

/** Every setting, the front ones first. */
export function allSettings(setup: Profile): SettingWords[] {
  const { drag, curve } = setup;
  const zone = t.settings.zone(percent(drag.zoneFrom), percent(drag.zoneTo), drag.closingOnly);
  return [
    ...frontSettings(setup),
    { key: 'releaseBand', label: labels.releaseBand.label, value: percent(setup.releaseBand) },
    { key: 'dragZone', label: t.settings.dragZone, value: zone },
    { key: 'rectify', label: labels.rectify.label, value: labels.rectify[setup.rectify].label.toLowerCase() },
    { key: 'decay', label: labels.decay.label, value: labels.decay[setup.decay].label.toLowerCase() },
    ...(curve.kind === 'points'
      ? [
          {
            key: 'points',
            label: labels.byPoints,
            value: curve.points.map(([x, y]) => `${x / 10}/${y / 10}`).join(', '),
          },
        ]
      : []),
  ];
}

/** "any car" where a profile names none. */
export const carWords = (of: Pick<KeptProfile, 'carName'>) => of.carName ?? t.anyCar;
export const trackWords = (of: Pick<KeptProfile, 'trackName'>) => of.trackName ?? t.anyTrack;

type ChoiceWords = Pick<StoredChoice, 'lane' | 'version'>;
/** A choice in words. */
export type SpokenChoice<C> = { choice: C; words: string };

/** What is dialled in of a profile, one sentence a choice: lanes first, then every other lane. */
export function dialledWords<C extends ChoiceWords>(choices: readonly C[]): SpokenChoice<C>[] {
  const lanes = choices.filter(({ lane }) => lane !== null).sort((a, b) => (a.lane ?? 0) - (b.lane ?? 0));
  const every = choices.filter(({ lane }) => lane === null);
  return [...lanes, ...every].map((choice) => ({ choice, words: choiceWords(choice, lanes.length > 0) }));
}

function choiceWords({ lane, version }: ChoiceWords, besideLanes: boolean): string {
  if (lane !== null) return t.dialled.lane(lane, version);
  return besideLanes ? t.dialled.everyOther(version) : t.dialled.every(version);
}

/** Where a version came from, and whether its setup was changed on the way; null for one set by hand. */
export function originWords({ origin, hash }: Pick<ProfileVersion, 'origin' | 'hash'>): string | null {
  if (origin === null) return null;
  if (origin.via === 'version') return origin.version === undefined ? null : t.origins.back(origin.version);
  const parts = [t.origins[origin.via](origin.from ?? null)];
  if (origin.version !== undefined) parts.push(t.origins.toVersion(origin.version));
  if (origin.hash !== hash && origin.via !== 'unit') parts.push(t.origins.changed);
  return parts.join(', ');
}
