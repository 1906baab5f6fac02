import { z } from 'zod';
import { fields } from '../../views/texts/en/fields.ts';
import { unitCheck as t } from '../../views/texts/en/unit-check.ts';
import { sensorBits } from '../profiles/calibration/calibrate.ts';
import { integerField, nameField } from '../shared/fields.ts';
import type { ReadingsProblem } from './readings-text.ts';
import type { UnitHolder } from './store.ts';
import { mostReadings } from './trace-parts.ts';

const id = '[A-Za-z0-9-]{1,64}';

/** Whose a unit is, as it stands in the form: empty for the club, `driver:ID`, `lane:TRACK:NUMBER`. */
export function holderField({ driverId, trackId, lane }: UnitHolder): string {
  if (driverId !== null) return `driver:${driverId}`;
  return trackId === null ? '' : `lane:${trackId}:${lane}`;
}

const holder = z.string({ error: fields.choice }).transform((typed, ctx): UnitHolder => {
  const none = { driverId: null, trackId: null, lane: null };
  if (typed === '') return none;
  const [, driverId] = new RegExp(`^driver:(${id})$`).exec(typed) ?? [];
  if (driverId !== undefined) return { ...none, driverId };
  const [, trackId, lane] = new RegExp(`^lane:(${id}):(\\d{1,2})$`).exec(typed) ?? [];
  if (trackId !== undefined) return { ...none, trackId, lane: Number(lane) };
  ctx.addIssue({ code: 'custom', message: fields.choice });
  return z.NEVER;
});

const name = nameField(40);

/** What a director says of a unit. */
export const unitSchema = z.object({ name, holder });

/** What drivers say of their own: whose it is stays. */
export const ownUnitSchema = z.object({ name });

/** The mechanical setting that the page showed: a button pressed twice raises it once. */
export const touchedFormSchema = z.object({ mechanicalSetting: integerField(1, 2 ** 31 - 1) });

/** A whole number that somebody typed or that the script counted. */
const typedRest = integerField(0, mostReadings);

/** What comes with readings that somebody pastes, uploads or reads over a cable. */
export const readingsSchema = z.object({
  bits: z.string({ error: fields.choice }).transform((typed, ctx): number => {
    const bits = sensorBits.find((one) => String(one) === typed);
    if (bits !== undefined) return bits;
    ctx.addIssue({ code: 'custom', message: fields.choice });
    return z.NEVER;
  }),
  restSamples: typedRest,
  fromCable: z.string().default(''),
});

/** Greatest form with readings: 20,000 of them with their line ends. */
export const readingsLimitBytes = 512 * 1024;

/** What is wrong with readings, in a sentence. */
export function readingsProblem(problem: ReadingsProblem): string {
  switch (problem.kind) {
    case 'notWhole':
      return t.problems.notWhole(problem.text, problem.at);
    case 'many':
      return t.problems.many(mostReadings);
    default:
      return t.problems[problem.kind];
  }
}
