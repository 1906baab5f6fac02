import { groupBy } from '../shared/group-by.ts';

export type NamedDriver = { readonly id: string; readonly nickname: string };

/**
 * Which drivers of a log are drivers of the club already: those whose nickname, letter for letter, exactly one driver
 * of the log and exactly one of the club bears. Where a nickname is not that clear, nobody is taken for somebody else.
 *
 * @returns the club's id by the log's id; a driver who is new to the club is left out
 */
export function matchDrivers(log: readonly NamedDriver[], club: readonly NamedDriver[]): Map<string, string> {
  const logNames = groupBy(log, ({ nickname }) => nickname);
  const clubNames = groupBy(club, ({ nickname }) => nickname);
  const matched = new Map<string, string>();
  for (const { id, nickname } of log) {
    const known = clubNames.get(nickname) ?? [];
    if (known.length === 1 && known[0] && logNames.get(nickname)?.length === 1) matched.set(id, known[0].id);
  }
  return matched;
}
