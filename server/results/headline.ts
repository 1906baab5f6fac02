import { heatCounts, meanPerHeat } from './equal-heats.ts';
import type { RaceRow } from './standing.ts';
import type { TieBreak } from './tie-break.ts';

/** What can be said of a race in one sentence. Scores and gaps are hundredths of a lap (*time*) or milliseconds. */
export type Headline =
  /** No heat of it was started. */
  | { readonly kind: 'not-begun' }
  /** Nobody has a place to speak of: everybody is excluded. */
  | { readonly kind: 'nobody' }
  /** Nobody has a score above nothing: to list everybody as leading would say nothing. */
  | { readonly kind: 'no-lap' }
  /** Heats are unequal in number: sums say nothing yet. The leader by the mean of a heat. */
  | { readonly kind: 'mean'; readonly leader: string; readonly mean: number }
  /** A *laps* race that nobody has completed. */
  | { readonly kind: 'unfinished'; readonly leader: string }
  /** Several share the first place. */
  | { readonly kind: 'shared'; readonly leaders: readonly string[] }
  /** One is ahead on equal scores. */
  | { readonly kind: 'tie'; readonly leader: string; readonly second: string; readonly by: TieBreak }
  /** One is ahead, and nobody else has a score: alone, or alone complete. */
  | { readonly kind: 'alone'; readonly leader: string; readonly score: number }
  | { readonly kind: 'ahead'; readonly leader: string; readonly gap: number };

/**
 * The headline of a race.
 *
 * @param rows of the standing
 * @param ties as `tieBreaks` gives them
 * @param toRun number of heats on the plan that were not started
 */
export function headline(
  rows: readonly RaceRow[],
  kind: 'time' | 'laps',
  ties: readonly (TieBreak | null)[],
  toRun: number,
): Headline {
  if (rows.every(({ heats }) => heats.length === 0)) return { kind: 'not-begun' };
  const placed = rows.filter(({ excluded }) => !excluded);
  const [first, second] = placed;
  if (first === undefined) return { kind: 'nobody' };
  if (kind === 'time' && placed.every(({ score }) => score === 0)) return { kind: 'no-lap' };
  const { least, most } = heatCounts(placed);
  if (kind === 'time' && toRun > 0 && least !== most) return byMean(placed);
  const leader = first.nickname;
  if (first.score === null) return { kind: 'unfinished', leader };
  const sharing = placed.filter(({ place }) => place === first.place);
  if (sharing.length > 1) return { kind: 'shared', leaders: sharing.map(({ nickname }) => nickname) };
  if (second === undefined || second.score === null) return { kind: 'alone', leader, score: first.score };
  const by = ties[0];
  if (by) return { kind: 'tie', leader, second: second.nickname, by };
  return { kind: 'ahead', leader, gap: Math.abs(first.score - second.score) };
}

function byMean(rows: readonly RaceRow[]): Headline {
  const means = rows.map((row) => ({ nickname: row.nickname, mean: meanPerHeat(row) ?? -1 }));
  const best = Math.max(...means.map(({ mean }) => mean));
  const leaders = means.filter(({ mean }) => mean === best).map(({ nickname }) => nickname);
  const [leader] = leaders;
  return leaders.length > 1 ? { kind: 'shared', leaders } : { kind: 'mean', leader: leader ?? '', mean: best };
}
