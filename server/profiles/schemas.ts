import { z } from 'zod';
import { fields as sentences } from '../../views/texts/en/fields.ts';
import { profiles as t } from '../../views/texts/en/profiles.ts';
import { readIdField } from '../../views/urls.ts';
import { integerField, nameField, optionalField } from '../shared/fields.ts';
import { longestName } from './model/profile.ts';

const longestNote = 280;
const mostLanes = 16;
/** Far above what anybody saves by hand. */
const mostVersions = 1_000_000;

/**
 * One line, or nothing: line ends become spaces. Characters that hide or turn text around them are refused, and length is
 * counted in code points, both as in the file of a profile.
 */
export const lineField = (longest: number, sentence: { long: string; characters: string }) =>
  z
    .string()
    .default('')
    .transform((typed) => typed.normalize('NFC').replace(/\s+/gu, ' ').trim())
    .refine((text) => [...text].length <= longest, sentence.long)
    .refine((text) => !/[\p{Cc}\p{Cs}\u202a-\u202e\u2066-\u2069]/u.test(text), sentence.characters);

/** Why something was saved. */
export const noteField = lineField(longestNote, { long: t.save.noteLong, characters: t.save.noteCharacters });

export const versionField = integerField(1, mostVersions);

/** The id of a club's own row, or nothing. */
export const idOrNone = z
  .string()
  .default('')
  .refine((typed) => /^[A-Za-z0-9-]{0,64}$/.test(typed), sentences.choice)
  .transform((typed) => (typed === '' ? null : typed));

/** What goes with the settings of the editor when a version is saved: `version` is the latest one that was shown. */
export const saveSchema = z.object({ note: noteField, version: versionField });

/** For which car and track a profile is; nothing for any. */
export const placeSchema = z.object({ carId: idOrNone, trackId: idOrNone });

export const choiceSchema = z.object({ version: versionField, lane: optionalField(integerField(1, mostLanes)) });

export const backSchema = z.object({ note: noteField });

export const copySchema = placeSchema.extend({ name: nameField(longestName), version: versionField });

/** A version of one of a driver's profiles, as forms and addresses name it: `<profile>.<version>`. */
export function readVersionName(name: string): { profileId: string; version: number } | null {
  const [, profileId, version] = /^([A-Za-z0-9-]{1,64})\.([1-9]\d{0,6})$/.exec(name) ?? [];
  return profileId !== undefined && version !== undefined ? { profileId, version: Number(version) } : null;
}

/** A driver's lane in a heat. */
export const placeOfHeatSchema = z.object({
  meeting: z.string().regex(/^[A-Za-z0-9-]{1,64}$/),
  heat: z.string().transform((typed, ctx) => {
    const id = readIdField(typed);
    if (id !== null) return id;
    ctx.addIssue({ code: 'custom', message: sentences.choice });
    return z.NEVER;
  }),
  lane: integerField(1, mostLanes),
});

export const usedSchema = placeOfHeatSchema.extend({
  /** The profile whose heats were shown; nothing for all. */
  only: idOrNone,
  /** Nothing: nobody knows. */
  used: z.string().transform((typed, ctx) => {
    const used = typed === '' ? null : readVersionName(typed);
    if (typed === '' || used !== null) return used;
    ctx.addIssue({ code: 'custom', message: t.heats.wrong });
    return z.NEVER;
  }),
});
