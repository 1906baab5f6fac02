import { z } from 'zod';
import { fields as sentences } from '../../views/texts/en/fields.ts';
import { tidyName } from './names.ts';

/** Building blocks of form schemas. Every form field arrives as text; each block says what is wrong in one sentence. */

/** A name of at most `max` graphemes. `empty` says what is missing, where a form asks for several names. */
export function nameField(max: number, empty: string = sentences.nameEmpty) {
  return z.string({ error: empty }).transform((typed, ctx) => {
    const tidy = tidyName(typed, max);
    if ('name' in tidy) return tidy.name;
    const message = {
      empty,
      long: sentences.nameLong(max),
      characters: sentences.nameCharacters,
      marks: sentences.nameMarks,
    }[tidy.problem];
    ctx.addIssue({ code: 'custom', message });
    return z.NEVER;
  });
}

/** A whole number from `min` to `max`. */
export function integerField(min: number, max: number) {
  return z.string({ error: sentences.missing }).transform((typed, ctx) => {
    const value = /^\s*-?\d{1,15}\s*$/.test(typed) ? Number(typed) : Number.NaN;
    if (value >= min && value <= max) return value === 0 ? 0 : value;
    ctx.addIssue({ code: 'custom', message: sentences.between(min, max) });
    return z.NEVER;
  });
}

/**
 * A decimal number from `min` to `max`, kept as a whole number of `1 / perUnit`: seconds typed as "2.5" are 2500000
 * with `perUnit` 1000000. A comma may stand for the point.
 */
export function decimalField(min: number, max: number, perUnit: number) {
  return z.string({ error: sentences.missing }).transform((typed, ctx) => {
    const text = typed.trim().replace(',', '.');
    const value = /^-?\d{1,9}(\.\d{1,9})?$/.test(text) ? Number(text) : Number.NaN;
    if (value >= min && value <= max) {
      const whole = Math.round(value * perUnit);
      return whole === 0 ? 0 : whole;
    }
    ctx.addIssue({ code: 'custom', message: sentences.between(min, max) });
    return z.NEVER;
  });
}

/** The same field, or null when nothing was typed. */
export function optionalField<S extends z.ZodType<unknown, string>>(field: S) {
  return z
    .string()
    .optional()
    .transform((typed, ctx): z.output<S> | null => {
      if (typed === undefined || typed.trim() === '') return null;
      const parsed = field.safeParse(typed);
      if (parsed.success) return parsed.data;
      for (const issue of parsed.error.issues) ctx.addIssue({ code: 'custom', message: issue.message });
      return z.NEVER;
    });
}

/** One of a few words. */
export function choiceField<const W extends readonly [string, ...string[]]>(words: W) {
  return z.enum(words, { error: sentences.choice });
}

/** A box that is ticked or not; browsers send nothing for an empty one. */
export const tickField = z
  .string()
  .optional()
  .transform((typed) => typed !== undefined && typed !== '');

/** A day of the calendar, `YYYY-MM-DD`. */
export const dateField = z.string({ error: sentences.date }).refine((typed) => {
  const day = new Date(`${typed}T00:00:00Z`);
  return /^\d{4}-\d{2}-\d{2}$/.test(typed) && !Number.isNaN(day.getTime()) && day.toISOString().startsWith(typed);
}, sentences.date);

/** An IANA time zone that this machine knows. */
export const zoneField = z.string({ error: sentences.zone }).refine((typed) => {
  try {
    new Intl.DateTimeFormat('en', { timeZone: typed });
    return typed !== '';
  } catch {
    return false;
  }
}, sentences.zone);

/** `#rrggbb`, in small letters. */
export const colourField = z
  .string({ error: sentences.colour })
  .transform((typed) => typed.trim().toLowerCase())
  .refine((typed) => /^#[0-9a-f]{6}$/.test(typed), sentences.colour);
