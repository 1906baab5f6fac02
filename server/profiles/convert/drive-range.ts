import { leastDriveSpan, ranges, type Tuning } from '../model/profile.ts';
import type { Outcome } from './report.ts';
import type { UnitSheet } from './sheet.ts';
import { ceilingOf, floorOf, nearestMultiple, nearestOf } from './steps.ts';

/** Where a unit's drive begins and ends. */
export interface DriveRange {
  readonly minDrive: number;
  readonly maxDrive: number;
  readonly minWhat: Outcome;
  readonly maxWhat: Outcome;
  /** First and last entry of a table, permille of the way from the unit's own minimum to its own maximum; 0 and 1000 where nothing is folded. */
  readonly firstEntry: number;
  readonly lastEntry: number;
}

/**
 * Minimum and maximum drive on a unit. Maximum drive is only ever rounded down; where the unit cannot go as low as
 * wanted the answer lies above, which the caller has to treat as a loss of safety. Minimum drive gives way where the two
 * come too close.
 */
export function driveRangeOn(sheet: UnitSheet, tuning: Pick<Tuning, 'minDrive' | 'maxDrive'>): DriveRange {
  const folds = sheet.curve?.kind === 'table' ? sheet.curve.yStep : null;
  const foldMin = sheet.minDrive === null && folds !== null && tuning.minDrive > 0;
  const foldMax = sheet.maxDrive === null && folds !== null && tuning.maxDrive < 1000;
  if (folds !== null && (foldMin || foldMax)) return folded(sheet, tuning, folds, foldMin, foldMax);

  const max = sheet.maxDrive ? floorOf(sheet.maxDrive, tuning.maxDrive) : without(tuning.maxDrive, 1000);
  const min = minimumBelow(sheet, tuning.minDrive, max.value);
  const room = { value: Math.max(max.value, min.value + leastDriveSpan) };
  const maxDrive = sheet.maxDrive && room.value > max.value ? ceilingOf(sheet.maxDrive, room.value) : room.value;
  return {
    minDrive: min.value,
    maxDrive,
    minWhat: min.what,
    maxWhat: maxDrive > max.value ? 'clamped' : max.what,
    firstEntry: 0,
    lastEntry: 1000,
  };
}

/** A setting that a unit has not is lost, unless it did nothing. */
const without = (wanted: number, idle: number) =>
  ({ value: idle, what: wanted === idle ? 'exact' : 'lost' }) as const satisfies { value: number; what: Outcome };

/** Minimum drive as near as the unit comes and far enough below `maxDrive`; the unit's least where there is no room. */
function minimumBelow({ minDrive }: UnitSheet, wanted: number, maxDrive: number) {
  if (minDrive === null) return without(wanted, 0);
  const nearest = nearestOf(minDrive, wanted);
  if (nearest.value + leastDriveSpan <= maxDrive) return nearest;
  const { value } = floorOf(minDrive, maxDrive - leastDriveSpan);
  return { value, what: value === wanted ? 'exact' : 'clamped' } as const;
}

/** The ends of a table that begins at minimum drive, ends at maximum drive, or both. */
function folded(
  sheet: UnitSheet,
  tuning: Pick<Tuning, 'minDrive' | 'maxDrive'>,
  yStep: number,
  foldMin: boolean,
  foldMax: boolean,
): DriveRange {
  const top = sheet.maxDrive ? floorOf(sheet.maxDrive, tuning.maxDrive) : without(1000, 1000);
  let bottom = minimumBelow(sheet, foldMin ? 0 : tuning.minDrive, foldMax ? tuning.maxDrive : top.value);
  const lastAbove = (minDrive: number) =>
    foldMax ? yStep * Math.floor((1000 * (tuning.maxDrive - minDrive)) / (top.value - minDrive) / yStep + 1e-9) : 1000;
  const spanAbove = (minDrive: number, entry: number) => ((top.value - minDrive) * entry) / 1000;
  let lastEntry = lastAbove(bottom.value);
  // Rounding the end down may bring it too close: then drive begins lower, and only if it cannot does the end go up.
  const lowest = sheet.minDrive?.min ?? 0;
  while (spanAbove(bottom.value, lastEntry) < leastDriveSpan && bottom.value > lowest) {
    bottom = minimumBelow(sheet, bottom.value - 1, bottom.value - 1 + leastDriveSpan);
    bottom = { ...bottom, what: 'clamped' };
    lastEntry = lastAbove(bottom.value);
  }
  const wanted = lastEntry;
  while (spanAbove(bottom.value, lastEntry) < leastDriveSpan) lastEntry = Math.min(1000, lastEntry + yStep);
  const felt = (entry: number) => bottom.value + spanAbove(bottom.value, entry);
  // A part of a permille above what was wanted is above it too.
  const last = lastEntry > wanted ? Math.ceil(felt(lastEntry) - 1e-9) : Math.floor(felt(lastEntry) + 1e-9);
  const maxDrive = Math.max(ranges.maxDrive[0], last);

  let firstEntry = foldMin ? nearestMultiple((1000 * tuning.minDrive) / top.value, yStep) : 0;
  const most = Math.min(ranges.minDrive[1], maxDrive - leastDriveSpan);
  while (firstEntry > 0 && (felt(firstEntry) > most || firstEntry >= lastEntry)) firstEntry -= yStep;
  return {
    minDrive: foldMin ? Math.round(felt(firstEntry)) : bottom.value,
    maxDrive,
    minWhat: foldMin ? 'folded' : bottom.what,
    maxWhat: foldMax ? 'folded' : top.what,
    firstEntry,
    lastEntry,
  };
}
