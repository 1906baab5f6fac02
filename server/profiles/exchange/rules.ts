import {
  curvePoints,
  leastDriveSpan,
  longestName,
  longestNotes,
  type Profile,
  ranges,
  type Tuning,
} from '../model/profile.ts';
import { ProfileProblem } from './problem.ts';

/** Whether a number is a whole one within a range, both ends included. */
export const isWithin = (value: unknown, [least, most]: readonly [number, number]): value is number =>
  Number.isInteger(value) && (value as number) >= least && (value as number) <= most;

/** @throws ProfileProblem RANGE for the first number out of its range */
export function checkRanges(tuning: Tuning): void {
  const { curve, drag } = tuning;
  const within = (field: string, value: number, range: readonly [number, number]) => {
    if (!isWithin(value, range)) throw new ProfileProblem('RANGE', field);
  };
  for (const field of ['minDrive', 'maxDrive', 'releaseBand', 'rampUpMs', 'brakeFull', 'pwmHz'] as const) {
    within(field, tuning[field], ranges[field]);
  }
  within('drag.strength', drag.strength, ranges.dragStrength);
  within('drag.zoneFrom', drag.zoneFrom, ranges.dragZone);
  within('drag.zoneTo', drag.zoneTo, ranges.dragZone);
  if (curve.kind === 'shape') within('curve.shape', curve.shape, ranges.shape);
  else for (const point of curve.points) for (const value of point) within('curve.points', value, [0, 1000]);
}

/** What binds several settings together. @throws ProfileProblem RANGE with the rule that is broken */
export function checkAcross(tuning: Tuning): void {
  const broken = (what: string, rule: ProfileProblem['rule']) => new ProfileProblem('RANGE', what, rule);
  if (tuning.maxDrive < tuning.minDrive + leastDriveSpan) throw broken('maxDrive', 'drive-span');
  if (tuning.curve.kind === 'points' && !isRising(tuning.curve.points)) throw broken('curve.points', 'points');
  if (tuning.drag.zoneFrom > tuning.drag.zoneTo) throw broken('drag.zoneFrom', 'zone');
  if (tuning.rectify === 'sync' && tuning.decay === 'fast') throw broken('decay', 'sync-fast');
}

/** From nothing to all, far enough apart and never falling. */
function isRising(points: readonly (readonly [number, number])[]): boolean {
  const first = points[0];
  const last = points.at(-1);
  if (!first || !last || points.length < curvePoints.fewest || points.length > curvePoints.most) return false;
  const ends = first[0] === 0 && first[1] === 0 && last[0] === 1000 && last[1] === 1000;
  return (
    ends &&
    points.every(([x, y], i) => {
      const before = points[i - 1];
      return !before || (x - before[0] >= curvePoints.leastApart && y >= before[1]);
    })
  );
}

/** Control characters, and those that turn the direction of text around them. */
const hidden = /[\p{Cc}\u202a-\u202e\u2066-\u2069]/u;

/** Name and notes. @throws ProfileProblem BAD_TEXT */
export function checkTexts({ name, notes = '' }: Pick<Profile, 'name' | 'notes'>): void {
  for (const [field, text] of [
    ['name', name],
    ['notes', notes],
  ] as const) {
    if (hidden.test(text) || /\p{Cs}/u.test(text) || text.normalize('NFC') !== text) {
      throw new ProfileProblem('BAD_TEXT', field);
    }
  }
}

/** Characters are counted as Unicode code points, as JSON Schema counts them. */
export const isNameLength = (name: string): boolean => isWithin([...name].length, [1, longestName]);
export const isNotesLength = (notes: string): boolean => [...notes].length <= longestNotes;
