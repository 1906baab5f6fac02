import { allSettings } from '../../../views/profile-words.ts';
import { exchange } from '../../../views/texts/en/exchange.ts';
import { exchangeCommand as words } from '../../../views/texts/en/exchange-command.ts';
import { setupHash } from '../../profiles/exchange/setup-hash.ts';
import { sharedText } from '../../profiles/exchange/shared-file.ts';
import { readCode } from '../../profiles/exchange/short-code.ts';
import type { Profile } from '../../profiles/model/profile.ts';
import { commandOf } from '../input.ts';
import { Refusal } from '../refusal.ts';
import { problemRefusal } from './profile-file.ts';

/** `lanewise profile read CODE`: the profile of a short code. Blanks in it may stand outside quotes. */
export const command = commandOf(words, {}, async (typed, { json }) => {
  if (typed.length === 0) throw new Refusal(2, words.wrongUse(words.oneCode));
  const profile = profileOf(typed.join(' '));
  return json ? `${sharedText(profile)}\n` : textOf(profile);
});

/** @throws Refusal with exit code 1, which names the class of the damage */
function profileOf(code: string): Profile {
  try {
    const { tuning, name } = readCode(code);
    return { name: name ?? exchange.unnamed, ...tuning };
  } catch (error) {
    throw problemRefusal(error);
  }
}

function textOf(profile: Profile): string {
  const rows = allSettings(profile);
  const width = Math.max(...rows.map(({ label }) => label.length));
  const lines = rows.map(({ label, value }) => words.row(label, value, width));
  return `${[profile.name, '', ...lines, '', words.hash(setupHash(profile))].join('\n')}\n`;
}
