import { z } from 'zod';
import { choiceField, decimalField, integerField, optionalField, tickField } from '../shared/fields.ts';
import type { RaceHandicap } from './told.ts';

/** The fields of a driver, by place in the order of sign-up. */
export const byHandField = (place: number) => `byHand-${place}`;
export const amountField = (place: number) => `amount-${place}`;

/** What the form asks for. */
export type HandicapSettings = {
  /** Null: off. */
  handicap: RaceHandicap | null;
  /** By place in the order of sign-up: milliseconds of delay, or a credit; null: to be worked out. */
  byHand: (number | null)[];
};

const longestS = 600;
const mostLaps = 100;

const off = z.object({ mode: z.literal('off') });
const on = z.object({
  mode: choiceField(['delay', 'credit']),
  dial: integerField(0, 100),
  cap: optionalField(decimalField(0, longestS, 1000)),
  round: decimalField(0.1, 60, 1000),
});

/** How far handicaps follow slowness, in hundredths of a percent of a lap time. */
export const guardSchema = z.object({
  on: tickField,
  margin: decimalField(0, 5, 100),
  soft: decimalField(0, 5, 100),
  hard: decimalField(0, 10, 100),
});

/** The settings of a race with so many entries; fields that belong to another mode do not matter. */
export function settingsSchema(entries: number, format: string) {
  return z.looseObject({ mode: choiceField(['off', 'delay', 'credit']) }).transform((typed, ctx): HandicapSettings => {
    const places = Array.from({ length: entries }, (_, i) => i);
    if (off.safeParse(typed).success) return { handicap: null, byHand: places.map(() => null) };
    const settings = on.safeParse(typed);
    for (const { message, path } of settings.error?.issues ?? []) ctx.addIssue({ code: 'custom', message, path });
    const amount =
      typed.mode === 'credit' && format !== 'laps' ? decimalField(0, mostLaps, 100) : decimalField(0, longestS, 1000);
    const byHand = places.map((i): number | null => {
      if (tickField.parse(typed[byHandField(i)] ?? '') === false) return null;
      const text = typed[amountField(i)];
      const read = amount.safeParse(typeof text === 'string' && text.trim() === '' ? '0' : text);
      for (const { message } of read.error?.issues ?? []) {
        ctx.addIssue({ code: 'custom', message, path: [amountField(i)] });
      }
      return read.data ?? null;
    });
    if (!settings.success || ctx.issues.length > 0) return z.NEVER;
    const { mode, dial, cap, round } = settings.data;
    return { handicap: { mode, dial, capMs: cap, roundMs: round }, byHand };
  });
}
