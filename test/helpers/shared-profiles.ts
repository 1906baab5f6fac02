import fc from 'fast-check';
import type { Profile } from '../../server/profiles/model/profile.ts';
import { anyTuning } from './tunings.ts';

const hidden = /[\p{Cc}\p{Cs}\u202a-\u202e\u2066-\u2069]/u;

/** Text that a profile may hold, of that many code points. */
const anyText = (min: number, max: number) =>
  fc
    .array(
      fc.oneof(fc.string({ unit: 'grapheme', minLength: 1, maxLength: 1 }), fc.constantFrom('ä', '€', '日', '🏁')),
      {
        minLength: min,
        maxLength: max,
      },
    )
    .map((parts) => [...parts.join('').normalize('NFC')].slice(0, max).join('').normalize('NFC'))
    .filter((text) => !hidden.test(text) && [...text].length >= min && [...text].length <= max);

/** Any profile, with and without notes. */
export const anyProfile: fc.Arbitrary<Profile> = fc
  .record({ tuning: anyTuning, name: anyText(1, 40), notes: fc.option(anyText(0, 60)) })
  .map(({ tuning, name, notes }) => ({ name, ...(notes === null ? {} : { notes }), ...tuning }));
