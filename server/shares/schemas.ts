import { z } from 'zod';
import { exchange } from '../../views/texts/en/exchange.ts';
import { fields as sentences } from '../../views/texts/en/fields.ts';
import { shares as t } from '../../views/texts/en/shares.ts';
import { ExchangeProblem } from '../profiles/exchange/problem.ts';
import { isNameLength } from '../profiles/exchange/rules.ts';
import { largestFile } from '../profiles/exchange/shared-file.ts';
import { longestName } from '../profiles/model/profile.ts';
import { placeSchema, versionField } from '../profiles/schemas.ts';
import { choiceField, dateField, nameField, optionalField, tickField } from '../shared/fields.ts';

/** A new link; whether the last day lies ahead is the action's to say. */
export const linkSchema = z.object({ version: versionField, named: tickField, endsOn: optionalField(dateField) });

export const publishSchema = z.object({ version: versionField, named: tickField });

export const pasteSchema = z.object({
  typed: z
    .string({ error: t.receive.typedEmpty })
    .refine((typed) => typed.trim() !== '', t.receive.typedEmpty)
    // Counted in UTF-16 units, of which none is longer than three bytes; the reader counts bytes.
    .refine((typed) => typed.length <= largestFile, exchange.problem(new ExchangeProblem('TOO_LARGE'))),
});

/** What the look at a received profile carries on: see `Source`. */
const sourceShape = {
  kind: z.enum(['link', 'entry', 'code', 'file'], { error: t.receive.damaged }),
  value: z.string({ error: t.receive.damaged }).max(largestFile, t.receive.damaged),
};

/** `with`: the own version to compare with, `<profile>.<version>`; `none`, or nothing for the usual one. */
export const lookSchema = z.object({ ...sourceShape, with: z.string().max(80).optional() });

export const keepSchema = placeSchema.extend({
  ...sourceShape,
  name: nameField(longestName).refine(isNameLength, sentences.nameLong(longestName)),
});

/** What the library shows; anything else than a known word is the usual order. */
export const librarySchema = z.object({
  car: z.string().max(200).catch(''),
  class: z.string().max(200).catch(''),
  motor: z.string().max(40).catch(''),
  sort: choiceField(['effect', 'name', 'day']).catch('effect'),
  page: z.coerce.number().int().min(1).max(1000).catch(1),
});
