import { profileFigures as words } from '../../../views/texts/en/profile-figures.ts';
import { type CurveRow, curveRows } from '../../profiles/model/duty.ts';
import { commandOf } from '../input.ts';
import { Refusal } from '../refusal.ts';
import { readProfileFile } from './profile-file.ts';

const mostPositions = 1000;
/** Positions of the text form: every 5 % of the trigger. */
const textPositions = Array.from({ length: 21 }, (_, i) => i / 20);

/** `lanewise profile curve FILE`: duty over the trigger, and how much of it is added per bit of trigger. */
export const command = commandOf(words, { at: { type: 'string' } }, async ([file, ...more], { at, json }) => {
  if (file === undefined || more.length > 0) throw new Refusal(2, words.wrongUse(words.oneFile));
  const asked = at === undefined ? undefined : positionsOf(at);
  const profile = await readProfileFile(file);
  if (json) return `${JSON.stringify(curveRows(profile, asked))}\n`;
  return textOf(curveRows(profile, asked ?? textPositions));
});

/** Reads `0.03,0.5`. @throws Refusal with exit code 2 */
function positionsOf(list: string): number[] {
  const parts = list.split(',').map((part) => part.trim());
  const positions = parts.map((part) => (/^(\d+\.?\d*|\.\d+)(e-?\d+)?$/i.test(part) ? Number(part) : Number.NaN));
  if (positions.length > mostPositions || positions.some((x) => !(x >= 0 && x <= 1))) {
    throw new Refusal(2, words.wrongUse(words.positions(mostPositions)));
  }
  return positions;
}

const textOf = (rows: readonly CurveRow[]) =>
  [words.curveHead, ...rows.map(({ x, duty, slope }) => words.curveRow(x, duty, slope))]
    .map((line) => `${line}\n`)
    .join('');
