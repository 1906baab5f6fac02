import { exchangeCommand as words } from '../../../views/texts/en/exchange-command.ts';
import { setupHash } from '../../profiles/exchange/setup-hash.ts';
import { qrText, shortCode } from '../../profiles/exchange/short-code.ts';
import { commandOf } from '../input.ts';
import { Refusal } from '../refusal.ts';
import { readProfileFile } from './profile-file.ts';

/** `lanewise profile code FILE`: its short code. */
export const command = commandOf(
  words,
  { name: { type: 'boolean' } },
  async ([file, ...more], { json, name: withName }) => {
    if (file === undefined || more.length > 0) throw new Refusal(2, words.wrongUse(words.oneFile));
    const profile = await readProfileFile(file);
    const name = withName === true ? profile.name : null;
    const code = shortCode(profile, name);
    if (!json) return `${code}\n`;
    return `${JSON.stringify({ code, qr: qrText(profile, name), hash: setupHash(profile) })}\n`;
  },
);
