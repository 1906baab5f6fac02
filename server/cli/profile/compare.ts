import { compare, comparisonWords } from '../../../views/texts/en/compare.ts';
import { profileFigures as words } from '../../../views/texts/en/profile-figures.ts';
import { type Comparison, compareProfiles } from '../../profiles/compare/compare.ts';
import { groups } from '../../profiles/compare/features.ts';
import { commandOf } from '../input.ts';
import { Refusal } from '../refusal.ts';
import { readProfileFile } from './profile-file.ts';

/** `lanewise profile compare A B`: what going from A to B feels like. */
export const command = commandOf(words, {}, async (files, { json }) => {
  const [from, to, ...more] = files;
  if (from === undefined || to === undefined || more.length > 0) throw new Refusal(2, words.wrongUse(words.twoFiles));
  if (from === '-' && to === '-') throw new Refusal(2, words.wrongUse(words.oneStandardInput));
  const comparison = compareProfiles(await readProfileFile(from), await readProfileFile(to));
  return json ? `${JSON.stringify(answerOf(comparison))}\n` : textOf(comparison);
});

const answerOf = (comparison: Comparison) => ({
  distance: comparison.distance,
  groups: comparison.groups,
  words: comparisonWords(comparison),
});

function textOf(comparison: Comparison): string {
  const figures = groups.map((group) => words.figure(compare.groups[group], comparison.groups[group]));
  return `${[
    ...comparisonWords(comparison),
    '',
    words.amounts,
    ...figures,
    words.figure(words.together, comparison.distance),
  ].join('\n')}\n`;
}
