/** Names that people type: what they may hold, and when two of them are the same. */

const segmenter = new Intl.Segmenter('en', { granularity: 'grapheme' });

/** Length of a text as people count it, in graphemes. */
export function graphemes(text: string): number {
  let n = 0;
  for (const _ of segmenter.segment(text)) n += 1;
  return n;
}

export type NameProblem = 'empty' | 'long' | 'characters' | 'marks';

/**
 * Tidies a typed name: NFC, spaces collapsed and trimmed. Refuses what could hide or flip other text on a page:
 * control, bidirectional, zero-width, unassigned and private characters, half surrogate pairs, and piles of more than
 * three combining marks.
 *
 * @param max greatest length in graphemes
 */
export function tidyName(typed: string, max: number): { name: string } | { problem: NameProblem } {
  const name = typed.normalize('NFC').replace(/\s+/gu, ' ').trim();
  if (name === '') return { problem: 'empty' };
  // Joiners are format characters too, but emoji families and some scripts are written with them: they may stand
  // between two visible characters.
  const visible = name.replace(/(?<=[\p{L}\p{M}\p{S}])[\u200c\u200d](?=[\p{L}\p{S}])/gu, '');
  if (/[\p{Cc}\p{Cf}\p{Cn}\p{Co}\p{Cs}\p{Zl}\p{Zp}]/u.test(visible)) return { problem: 'characters' };
  if (/\p{M}{4,}/u.test(name.normalize('NFD'))) return { problem: 'marks' };
  if (graphemes(name) > max) return { problem: 'long' };
  return { name };
}

/** A key under which names that look the same are the same: case, accents, spaces and look-alike forms are folded. */
export function nameKey(name: string): string {
  return name.normalize('NFKD').replace(/\p{M}/gu, '').replace(/\s+/gu, '').toLowerCase();
}
