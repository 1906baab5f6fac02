import { type FormState, freshForm } from '../shared/form.ts';
import { curveFunction } from './model/curve.ts';
import { type Curve, type CurvePoint, curvePoints, type Profile, type Tuning } from './model/profile.ts';

/** Points that stand between the two fixed ends of a curve. */
export const innerPoints = curvePoints.most - 2;

/** Names of the two number fields of an inner point, counted from 1. */
export const pointField = (number: number, part: 'x' | 'y') => `point${number}${part}`;

/** Permille as typed percent, with a decimal where there is one: 85 → "8.5", 80 → "8". */
export const percentText = (permille: number): string => String(permille / 10);

/** The form that shows a profile. Permille become percent; names of fields are those of `editorSchema`. */
export function editorForm(profile: Profile): FormState {
  const { drag, curve } = profile;
  const typed: Record<string, string> = {
    name: profile.name,
    notes: profile.notes ?? '',
    minDrive: percentText(profile.minDrive),
    maxDrive: percentText(profile.maxDrive),
    releaseBand: percentText(profile.releaseBand),
    curveKind: curve.kind,
    shape: String(curve.kind === 'shape' ? curve.shape : 0),
    rampUpMs: String(profile.rampUpMs),
    brakeFull: percentText(profile.brakeFull),
    dragStrength: percentText(drag.strength),
    zoneFrom: percentText(drag.zoneFrom),
    zoneTo: percentText(drag.zoneTo),
    pwmHz: String(profile.pwmHz),
    decay: profile.decay,
    rectify: profile.rectify,
    ...(drag.closingOnly ? { closingOnly: 'on' } : {}),
  };
  pointsOf(curve).forEach(([x, y], index) => {
    typed[pointField(index + 1, 'x')] = percentText(x);
    typed[pointField(index + 1, 'y')] = percentText(y);
  });
  return freshForm(typed);
}

/** Inner points of a curve; of one given by a number three that lie on it, so that points go on from where it was. */
function pointsOf(curve: Curve): readonly CurvePoint[] {
  if (curve.kind === 'points') return curve.points.slice(1, -1);
  const { value } = curveFunction(curve);
  return [250, 500, 750].map((x) => [x, Math.round(value(x / 1000) * 1000)]);
}

/** Settings that change nothing as the others stand. */
export type IdleSettings = {
  /** The number of the curve, where points give it. */
  readonly shape: boolean;
  /** Why the drag brake does nothing; null where it acts. */
  readonly drag: 'sync' | 'off' | 'covered' | null;
};

export function idleSettings(tuning: Pick<Tuning, 'curve' | 'rectify' | 'drag' | 'releaseBand'>): IdleSettings {
  const { drag, rectify, releaseBand } = tuning;
  const why = rectify === 'sync' ? 'sync' : drag.strength === 0 ? 'off' : drag.zoneTo <= releaseBand ? 'covered' : null;
  return { shape: tuning.curve.kind === 'points', drag: why };
}
