import { type Curve, type CurvePoint, curvePoints, type Tuning } from '../model/profile.ts';
import { cornersOf, curveErrorOf, fitPoints, fitShape, sameCurve, tableValue, valueOf } from './curve-fit.ts';
import type { DriveRange } from './drive-range.ts';
import type { CurveError, Outcome } from './report.ts';
import type { UnitCurve } from './sheet.ts';
import { nearestMultiple, nearestOf } from './steps.ts';

/** A throttle curve as a unit holds it. */
export interface CurveOnUnit {
  /** As a profile says it. */
  readonly curve: Curve;
  readonly what: Outcome;
  /** Null where nothing was approximated. */
  readonly error: CurveError | null;
  readonly table: readonly number[] | null;
}

/** The curve of a profile on a unit, in the unit's own way. */
export function curveOn(
  unit: UnitCurve | null,
  { curve, minDrive, maxDrive }: Pick<Tuning, 'curve' | 'minDrive' | 'maxDrive'>,
  range: Pick<DriveRange, 'firstEntry' | 'lastEntry'>,
): CurveOnUnit {
  const span = maxDrive - minDrive;
  const kept: CurveOnUnit = { curve, what: 'exact', error: null, table: null };
  const became = (made: Curve, what: Outcome): CurveOnUnit => ({
    ...kept,
    curve: made,
    what,
    error: curveErrorOf(valueOf(curve), valueOf(made), span),
  });
  if (unit === null) return sameCurve(valueOf(curve), (u) => u) ? kept : became({ kind: 'shape', shape: 0 }, 'lost');
  switch (unit.kind) {
    case 'any':
      return kept;
    case 'number': {
      if (curve.kind === 'points') {
        return became({ kind: 'shape', shape: fitShape(valueOf(curve), unit) }, 'approximated');
      }
      const { value, what } = nearestOf(unit, curve.shape);
      return what === 'exact' ? kept : became({ kind: 'shape', shape: value }, what);
    }
    case 'points':
      if (curve.kind === 'points' && curve.points.length <= unit.max) return kept;
      return became({ kind: 'points', points: fitPoints(valueOf(curve), unit.max, cornersOf(curve)) }, 'approximated');
    case 'table':
      return onTable(unit, curve, span, range);
  }
}

function onTable(
  { n, yStep }: Extract<UnitCurve, { kind: 'table' }>,
  curve: Curve,
  span: number,
  { firstEntry, lastEntry }: Pick<DriveRange, 'firstEntry' | 'lastEntry'>,
): CurveOnUnit {
  const value = valueOf(curve);
  const rise = lastEntry - firstEntry;
  // "Full" need not be a multiple of the step; it is the last entry alone.
  const highest = yStep * Math.floor(lastEntry / yStep);
  const table: number[] = [];
  for (let k = 0; k < n; k++) {
    const entry = nearestMultiple(firstEntry + rise * value(k / (n - 1)), yStep);
    table.push(Math.min(highest, Math.max(table[k - 1] ?? firstEntry, entry)));
  }
  table[0] = firstEntry;
  table[n - 1] = lastEntry;
  const share = tableValue(table.map((entry) => (entry - firstEntry) / rise));
  if (sameCurve(value, share)) return { curve, what: 'exact', error: null, table };
  return {
    curve: { kind: 'points', points: pointsOf(share, n) },
    what: 'approximated',
    error: curveErrorOf(value, share, span),
    table,
  };
}

/** The entries themselves where a profile can hold so many, else points near to the lines between them. */
function pointsOf(share: (u: number) => number, n: number): readonly CurvePoint[] {
  const corners = Array.from({ length: n }, (_, k) => Math.round((1000 * k) / (n - 1)));
  if (n > curvePoints.most) return fitPoints(share, curvePoints.most, corners.slice(1, -1));
  return corners.map((x, k) => [x, Math.round(1000 * share(k / (n - 1)))]);
}
