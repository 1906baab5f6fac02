import { setupHash } from '../profiles/exchange/setup-hash.ts';
import { type ReadProfile, readShared } from '../profiles/exchange/shared-file.ts';
import { readCode } from '../profiles/exchange/short-code.ts';

/**
 * Where a profile that somebody takes comes from. It is kept nowhere between the look and the saving: the form carries it,
 * and it is read again.
 */
export interface Source {
  readonly kind: 'link' | 'entry' | 'code' | 'file';
  /** Code of a link, id of an entry in the library, a short code, or the text of a file. */
  readonly value: string;
}

/** What codes of links, and ids of a club's rows, are made of: anything else names none, and is not looked up. */
export const isLinkCode = (text: string): boolean => /^[A-Za-z0-9_-]{20,64}$/.test(text);
export const isEntryId = (text: string): boolean => /^[A-Za-z0-9-]{1,64}$/.test(text);

/** How the origin of a version names it. */
export const viaOf = { link: 'share', entry: 'library', code: 'code', file: 'file' } as const;

/** What somebody typed or pasted: a link of any server, the text of a file, or else a short code. */
export function pastedSource(typed: string): Source {
  const link = /\/s\/([A-Za-z0-9_-]{20,64})(?:[/?#]|$)/.exec(typed.trim())?.[1];
  if (link !== undefined) return { kind: 'link', value: link };
  return { kind: typed.trimStart().startsWith('{') ? 'file' : 'code', value: typed };
}

/**
 * Reads what needs nothing else.
 *
 * @param unnamed the name of a profile whose code carries none
 * @throws ExchangeProblem
 */
export function readSource({ kind, value }: Source & { kind: 'code' | 'file' }, unnamed: string): ReadProfile {
  if (kind === 'file') return readShared(new TextEncoder().encode(value));
  const { tuning, name } = readCode(value);
  return { profile: { name: name ?? unnamed, ...tuning }, hash: setupHash(tuning) };
}
