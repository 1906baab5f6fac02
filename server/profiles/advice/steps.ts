import type { Group } from '../compare/features.ts';
import { curveFunction, shapeCurve } from '../model/curve.ts';
import { type Curve, type CurvePoint, leastDriveSpan, ranges, type Tuning } from '../model/profile.ts';

/** One change of one setting. Shares are permille; `by` is added. */
export type Step =
  | { readonly setting: 'minDrive' | 'maxDrive' | 'releaseBand' | 'rampUpMs' | 'brakeFull'; readonly by: number }
  /** To the next lower of these. */
  | { readonly setting: 'maxDrive'; readonly downTo: readonly number[] }
  /** Fuller early (above 0) or late, as steps of a shape. */
  | { readonly setting: 'curve'; readonly by: number }
  /** A curve that is fuller late, this many steps of a shape towards straight. */
  | { readonly setting: 'curve'; readonly straighten: number }
  | { readonly setting: 'dragStrength'; readonly by: number }
  /** More of it in a zone that begins at 0 and reaches at least this far. */
  | { readonly setting: 'dragBrake'; readonly by: number; readonly zoneTo: number }
  /** The upper end of the zone. */
  | { readonly setting: 'dragZone'; readonly by: number }
  | { readonly setting: 'closingOnly'; readonly to: true }
  | { readonly setting: 'pwmHz'; readonly times: readonly [number, number] }
  | { readonly setting: 'rectify'; readonly to: 'async' };

export type AdviceSetting = Step['setting'];

/**
 * What of a comparison a setting is about, and which other groups it cannot but touch: both ends of drive scale all of
 * it, and a release band decides where driving and braking at part trigger begin.
 */
export const groupsOf: Readonly<Record<AdviceSetting, { readonly main: Group; readonly also: readonly Group[] }>> = {
  minDrive: { main: 'launch', also: ['drive'] },
  maxDrive: { main: 'limit', also: ['drive'] },
  releaseBand: { main: 'drive', also: ['partBrake'] },
  curve: { main: 'drive', also: [] },
  rampUpMs: { main: 'ramp', also: [] },
  brakeFull: { main: 'brake', also: [] },
  dragStrength: { main: 'partBrake', also: [] },
  dragBrake: { main: 'partBrake', also: [] },
  dragZone: { main: 'partBrake', also: [] },
  closingOnly: { main: 'partBrake', also: [] },
  pwmHz: { main: 'pwm', also: [] },
  rectify: { main: 'partBrake', also: [] },
};

/**
 * The setup after one step, which may be the same one where the step has nowhere to go. It stays within the ranges and,
 * where the step is about drive, within the race limit.
 *
 * @param limit race limit in permille; null for none
 */
export function afterStep<T extends Tuning>(tuning: T, step: Step, limit: number | null): T {
  const { drag } = tuning;
  switch (step.setting) {
    case 'minDrive': {
      const most = Math.min(ranges.minDrive[1], driven(tuning, limit) - leastDriveSpan);
      return { ...tuning, minDrive: moved(tuning.minDrive, step.by, [ranges.minDrive[0], most]) };
    }
    case 'maxDrive':
      return {
        ...tuning,
        maxDrive: 'by' in step ? maxDriveBy(tuning, step.by, limit) : nextLower(tuning, step.downTo, limit),
      };
    case 'releaseBand':
    case 'rampUpMs':
    case 'brakeFull':
      return { ...tuning, [step.setting]: moved(tuning[step.setting], step.by, ranges[step.setting]) };
    case 'curve':
      return {
        ...tuning,
        curve: 'by' in step ? fuller(tuning.curve, step.by) : straighter(tuning.curve, step.straighten),
      };
    case 'dragStrength':
      return { ...tuning, drag: { ...drag, strength: moved(drag.strength, step.by, ranges.dragStrength) } };
    case 'dragBrake': {
      const strength = moved(drag.strength, step.by, ranges.dragStrength);
      return { ...tuning, drag: { ...drag, strength, zoneFrom: 0, zoneTo: Math.max(drag.zoneTo, step.zoneTo) } };
    }
    case 'dragZone':
      return { ...tuning, drag: { ...drag, zoneTo: moved(drag.zoneTo, step.by, [drag.zoneFrom, ranges.dragZone[1]]) } };
    case 'closingOnly':
      return { ...tuning, drag: { ...drag, closingOnly: step.to } };
    case 'pwmHz': {
      const [times, parts] = step.times;
      const tens = Math.round((tuning.pwmHz * times) / parts / 10) * 10;
      return { ...tuning, pwmHz: Math.min(ranges.pwmHz[1], Math.max(ranges.pwmHz[0], tens)) };
    }
    case 'rectify':
      return { ...tuning, rectify: step.to };
  }
}

/** A value moved by an amount, as far as the range lets it; never the other way. */
function moved(value: number, by: number, [least, most]: readonly [number, number]): number {
  return by < 0 ? Math.min(value, Math.max(least, value + by)) : Math.max(value, Math.min(most, value + by));
}

/** Maximum drive as it is driven. */
const driven = ({ maxDrive }: Tuning, limit: number | null) => Math.min(maxDrive, limit ?? ranges.maxDrive[1]);

const leastMaxDrive = ({ minDrive }: Tuning) => Math.max(ranges.maxDrive[0], minDrive + leastDriveSpan);

/** Above a race limit there is no more to gain, and less begins at the limit. */
function maxDriveBy(tuning: Tuning, by: number, limit: number | null): number {
  if (by > 0) return moved(tuning.maxDrive, by, [ranges.maxDrive[0], limit ?? ranges.maxDrive[1]]);
  return Math.min(tuning.maxDrive, Math.max(leastMaxDrive(tuning), driven(tuning, limit) + by));
}

function nextLower(tuning: Tuning, figures: readonly number[], limit: number | null): number {
  const lower = figures.filter((figure) => figure < driven(tuning, limit) && figure >= leastMaxDrive(tuning));
  return lower.length > 0 ? Math.max(...lower) : tuning.maxDrive;
}

/**
 * A curve followed by a shape: shapes add up, and the points of a curve are each lifted or lowered by the shape, which
 * keeps their order and both ends.
 */
function fuller(curve: Curve, by: number): Curve {
  if (curve.kind === 'shape') return { kind: 'shape', shape: moved(curve.shape, by, ranges.shape) };
  const { value } = shapeCurve(by);
  return { kind: 'points', points: curve.points.map(([x, y]): CurvePoint => [x, Math.round(1000 * value(y / 1000))]) };
}

/** Of points, a shape that goes past straight at one of them would do more than was asked: each stops there. */
function straighter(curve: Curve, by: number): Curve {
  if (curveFunction(curve).value(1 / 2) >= 1 / 2) return curve;
  if (curve.kind === 'shape') return { kind: 'shape', shape: Math.min(0, curve.shape + by) };
  const { value } = shapeCurve(by);
  const raised = ([x, y]: CurvePoint): CurvePoint => [x, Math.max(y, Math.min(x, Math.round(1000 * value(y / 1000))))];
  return { kind: 'points', points: curve.points.map(raised) };
}
