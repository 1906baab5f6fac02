import { problemsOf } from '../model/check.ts';
import { longestName, longestNotes, type Profile, ranges, type Tuning } from '../model/profile.ts';
import { ExchangeProblem } from './problem.ts';

/** Whether a number is a whole one within a range, both ends included. */
export const isWithin = (value: unknown, [least, most]: readonly [number, number]): value is number =>
  Number.isInteger(value) && (value as number) >= least && (value as number) <= most;

/** @throws ExchangeProblem RANGE for the first number out of its range */
export function checkRanges(tuning: Tuning): void {
  const { curve, drag } = tuning;
  const within = (field: string, value: number, range: readonly [number, number]) => {
    if (!isWithin(value, range)) throw new ExchangeProblem('RANGE', field);
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

/** What binds several settings together. @throws ExchangeProblem RANGE with the first rule that is broken */
export function checkAcross(tuning: Tuning): void {
  const [rule] = problemsOf(tuning);
  if (rule) throw new ExchangeProblem('RANGE', '', rule);
}

/** Control characters, and those that turn the direction of text around them. */
const hidden = /[\p{Cc}\u202a-\u202e\u2066-\u2069]/u;

/** Name and notes. @throws ExchangeProblem BAD_TEXT */
export function checkTexts({ name, notes = '' }: Pick<Profile, 'name' | 'notes'>): void {
  for (const [field, text] of [
    ['name', name],
    ['notes', notes],
  ] as const) {
    if (hidden.test(text) || /\p{Cs}/u.test(text) || text.normalize('NFC') !== text) {
      throw new ExchangeProblem('BAD_TEXT', field);
    }
  }
}

/** Characters are counted as Unicode code points, as JSON Schema counts them. */
export const isNameLength = (name: string): boolean => isWithin([...name].length, [1, longestName]);
export const isNotesLength = (notes: string): boolean => [...notes].length <= longestNotes;
