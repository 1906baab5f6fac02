import type { Curve } from '../model/profile.ts';

/** Every setting that moves, in the order in which reports list them. */
export const reportFields = [
  'minDrive',
  'maxDrive',
  'releaseBand',
  'curve',
  'rampUpMs',
  'brakeFull',
  'drag.strength',
  'drag.zoneFrom',
  'drag.zoneTo',
  'drag.closingOnly',
  'pwmHz',
  'decay',
  'rectify',
] as const;
export type ReportField = (typeof reportFields)[number];

/**
 * What became of a setting. `rounded`: to an allowed value; `clamped`: it was outside of them; `approximated`: another kind
 * of curve; `folded`: the table of the curve does it; `lost`: the unit cannot do it.
 */
export type Outcome = 'exact' | 'rounded' | 'clamped' | 'approximated' | 'folded' | 'lost';

/** `safety`: the car may become faster than its driver wanted; nothing is kept before somebody has said yes. */
export type Severity = 'none' | 'minor' | 'noticeable' | 'major' | 'safety';

export type ReportValue = number | string | boolean | Curve;

/** One setting on its way to a unit. */
export interface ReportRow {
  readonly field: ReportField;
  readonly what: Outcome;
  readonly from: ReportValue;
  /** What the unit does; null: nobody knows. */
  readonly to: ReportValue | null;
  /** How much of the change is felt, in just noticeable amounts, if nothing else changed; null: nobody knows. */
  readonly size: number | null;
  readonly severity: Severity;
  /** Of a curve that was approximated: differences of drive in points (percent of full drive), u = 0, 0.01, … 1. */
  readonly curveError?: CurveError;
  /** Of a switching frequency under a chopped brake: what the brake then does. */
  readonly brakeEffects?: readonly BrakeEffect[];
}

export interface CurveError {
  readonly largestPoints: number;
  readonly rmsPoints: number;
}

/** A chopped brake at two switching frequencies, in permille of a full brake at the same speed. */
export interface BrakeEffect {
  readonly setting: 'brakeFull' | 'drag.strength';
  readonly from: number;
  readonly to: number;
}

/** Severity of a change that endangers nobody. Limits: design choice, common practice, no source. */
export function severityOf(size: number | null): Severity {
  if (size === null) return 'major';
  // Sums of squares leave last bits behind.
  const rounded = Math.round(size * 1e9) / 1e9;
  if (rounded === 0) return 'none';
  return rounded < 0.5 ? 'minor' : rounded < 1.5 ? 'noticeable' : 'major';
}
