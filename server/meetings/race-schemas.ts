import { z } from 'zod';
import { meetings } from '../../views/texts/en/meetings.ts';
import { choiceField, decimalField, integerField, nameField, optionalField, tickField } from '../shared/fields.ts';
import { lengthLimitsMs, readLength } from './length.ts';

const t = meetings.race;
const mostLaps = 10_000;
const mostHeats = 1000;
const mostMarshals = 16;

/** A length of time such as `3:00`, in milliseconds. */
const lengthField = z.string({ error: t.lengthWrong }).transform((typed, ctx) => {
  const ms = readLength(typed);
  if (ms !== null && ms >= lengthLimitsMs.min && ms <= lengthLimitsMs.max) return ms;
  ctx.addIssue({ code: 'custom', message: t.lengthWrong });
  return z.NEVER;
});

/** What a heat is, in the columns of a race. */
export type RaceFormat = {
  format: 'time' | 'laps';
  durationMs: number | null;
  firstTo: number | null;
  laps: number | null;
  limitMs: number | null;
};

const none = { durationMs: null, firstTo: null, laps: null, limitMs: null } as const;
const text = z.string().optional();

/** Reads the fields that belong to the chosen kind; what stands in the others does not matter. */
const formatFields = z
  .object({
    kind: choiceField(['time', 'first', 'laps']),
    duration: text,
    firstTo: text,
    firstLimit: text,
    laps: text,
    lapsLimit: text,
  })
  .transform((typed, ctx): { heat: RaceFormat } => {
    const read = <S extends z.ZodType>(field: keyof typeof typed, schema: S): z.output<S> => {
      const parsed = schema.safeParse(typed[field]);
      if (parsed.success) return parsed.data;
      for (const { message } of parsed.error.issues) ctx.addIssue({ code: 'custom', message, path: [field] });
      return z.NEVER;
    };
    switch (typed.kind) {
      case 'time':
        return { heat: { ...none, format: 'time', durationMs: read('duration', lengthField) } };
      case 'first':
        return {
          heat: {
            ...none,
            format: 'time',
            firstTo: read('firstTo', integerField(1, mostLaps)),
            durationMs: read('firstLimit', optionalField(lengthField)),
          },
        };
      case 'laps':
        return {
          heat: {
            ...none,
            format: 'laps',
            laps: read('laps', integerField(1, mostLaps)),
            limitMs: read('lapsLimit', optionalField(lengthField)),
          },
        };
    }
  });

const wordFields = z.object({
  name: nameField(60),
  classId: z.string().default(''),
  newClass: optionalField(nameField(60)),
});

const moreFields = z
  .object({
    minLap: optionalField(decimalField(0, 600, 1_000_000)),
    missing: choiceField(['zero', 'mean']).default('zero'),
    standingFastest: tickField,
    heatsPerEntry: optionalField(integerField(1, mostHeats)),
    marshals: integerField(0, mostMarshals).default(0),
    countdown: integerField(0, 60).default(5),
    // A limit of more digits than are kept never rises.
    driveLimit: optionalField(
      decimalField(10, 100, 1_000_000).transform((millionths) => Math.floor(millionths / 100_000)),
    ),
  })
  .superRefine((more, ctx) => {
    if (more.missing === 'mean' && more.heatsPerEntry === null) {
      ctx.addIssue({ code: 'custom', message: t.missingMeanNeeds, path: ['heatsPerEntry'] });
    }
  })
  .transform(({ minLap, countdown, ...more }) => ({ ...more, minLapUs: minLap, countdownMs: countdown * 1000 }));

/** A race whose first heat was started: what a heat is stays as it is. */
export const startedRaceSchema = wordFields.and(moreFields);

/** A race with everything about it. */
export const raceSchema = startedRaceSchema.and(formatFields);
