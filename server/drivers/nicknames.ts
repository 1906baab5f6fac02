import { nameKey, tidyName } from '../shared/names.ts';

export const nicknameMax = 24;
/** Nicknames that one form may bring. */
export const linesMax = 100;

/** What is wrong with a list of nicknames. */
export type LinesProblem =
  | { kind: 'empty' | 'many' }
  /** `line` from 1, as typed, empty lines counted. */
  | { kind: 'name'; line: number; problem: 'long' | 'characters' | 'marks' }
  | { kind: 'twice'; line: number; nickname: string; before: number };

/** A nickname and the line it stands on, from 1. */
export type TypedNickname = { line: number; nickname: string };

/** Reads nicknames typed one a line; empty lines are passed over. The first problem stops it. */
export function readNicknames(typed: string): { nicknames: TypedNickname[] } | { problem: LinesProblem } {
  const nicknames: TypedNickname[] = [];
  const lineOf = new Map<string, number>();
  for (const [index, text] of typed.split(/\r\n|\r|\n/).entries()) {
    const line = index + 1;
    const tidy = tidyName(text, nicknameMax);
    if ('problem' in tidy) {
      if (tidy.problem === 'empty') continue;
      return { problem: { kind: 'name', line, problem: tidy.problem } };
    }
    const nickname = tidy.name;
    const before = lineOf.get(nameKey(nickname));
    if (before !== undefined) return { problem: { kind: 'twice', line, nickname, before } };
    lineOf.set(nameKey(nickname), line);
    nicknames.push({ line, nickname });
  }
  if (nicknames.length === 0) return { problem: { kind: 'empty' } };
  if (nicknames.length > linesMax) return { problem: { kind: 'many' } };
  return { nicknames };
}

/**
 * A nickname of two words that nobody bears yet.
 *
 * @param words lists to take one word each from
 * @param taken nicknames as `nameKey` folds them
 * @param pick a random whole number from 0 to `below` − 1
 * @returns the last try when twenty were taken
 */
export function suggestNickname(
  words: { first: readonly string[]; second: readonly string[] },
  taken: ReadonlySet<string>,
  pick: (below: number) => number,
): string {
  let nickname = '';
  for (let tries = 0; tries < 20; tries += 1) {
    nickname = `${words.first[pick(words.first.length)]} ${words.second[pick(words.second.length)]}`;
    if (!taken.has(nameKey(nickname))) break;
  }
  return nickname;
}
