import { compareOrders, type RaceTerms, scoreEntry } from './race-score.ts';
import type { RaceRow, RaceSettings } from './standing.ts';

/** What decided between an entry and the one behind it where their scores do not. */
export type TieBreak =
  /** A race of one heat: earlier over the line at the end of the last counted lap. */
  | { readonly by: 'last-lap' }
  /** The better n-th best single heat, the better ones being equal. */
  | { readonly by: 'heat'; readonly nth: number }
  | { readonly by: 'fastest' }
  /** A *laps* race that neither of them completed. */
  | { readonly by: 'finished-heats' | 'laps' | 'finished-time' }
  /** Nothing tells them apart. */
  | { readonly by: 'shared' };

/**
 * Why each entry is ahead of the next one, where the score does not say it: equal scores, or no score at all.
 *
 * @param rows of the standing, in its order
 * @param countingHeats number of started heats of the race that are not void
 * @returns one answer for each row: about it and the row after it; null where the score decides, or an exclusion
 */
export function tieBreaks(race: RaceSettings, rows: readonly RaceRow[], countingHeats: number): (TieBreak | null)[] {
  const { missing, heatsPerEntry, format } = race;
  const mostHeats = rows.reduce((most, { heats }) => Math.max(most, heats.length), 0);
  const terms = { kind: format.kind, missing, heatsPerEntry, heats: countingHeats, mostHeats };
  return rows.map((row, i) => {
    const next = rows[i + 1];
    if (next === undefined || next.excluded || row.score !== next.score) return null;
    return between(terms, row, next);
  });
}

/** The order of an entry begins with its group and, where it has one, its score: what follows breaks ties. */
function between(terms: RaceTerms, ahead: RaceRow, behind: RaceRow): TieBreak {
  const skipped = ahead.score === null ? 1 : 2;
  const orderOf = ({ heats }: RaceRow) => scoreEntry(terms, heats, 0, false).order.slice(skipped);
  const [one, other] = [orderOf(ahead), orderOf(behind)];
  if (compareOrders(one, other) === 0) return { by: 'shared' };
  const at = one.findIndex((value, i) => value !== other[i]);
  if (at === one.length - 1) return { by: 'fastest' };
  if (ahead.score === null) return { by: (['finished-heats', 'laps', 'finished-time'] as const)[at] ?? 'fastest' };
  return terms.kind === 'time' && terms.heats === 1 ? { by: 'last-lap' } : { by: 'heat', nth: at + 1 };
}
