import { z } from 'zod';
import { meetings } from '../../views/texts/en/meetings.ts';
import { nicknameMax, readNicknames } from '../drivers/nicknames.ts';
import { sentenceFor } from '../drivers/schemas.ts';
import { choiceField, nameField, optionalField } from '../shared/fields.ts';

const t = meetings.entries;

const nickname = nameField(nicknameMax);

/** Several fields of one name: browsers send a text for one of them, nothing for none. */
export const listField = z
  .union([z.string(), z.array(z.string())])
  .default([])
  .transform((typed) => (typeof typed === 'string' ? [typed] : typed));

/** Nicknames, one a line; none at all is allowed. */
const nicknameLines = z
  .string()
  .default('')
  .transform((typed, ctx): string[] => {
    const read = readNicknames(typed);
    if ('nicknames' in read) return read.nicknames.map((line) => line.nickname);
    if (read.problem.kind === 'empty') return [];
    ctx.addIssue({ code: 'custom', message: sentenceFor(read.problem) });
    return z.NEVER;
  });

export const addEntriesSchema = z
  .object({ driverIds: listField, names: nicknameLines })
  .refine(({ driverIds, names }) => driverIds.length + names.length > 0, { message: t.nothing, path: ['names'] });

/** What may be done to one entry. */
export const changeEntrySchema = z.object({
  act: choiceField(['car', 'withdraw', 'return', 'remove']),
  carId: z.string().default(''),
});

/** The field of the car in one race; the id stands as in a form, see `idField`. */
export const carField = (raceField: string) => `car-${raceField}`;

/** Nights that "yes, I have raced before" is taken for: juniors have learnt most by then. */
const nightsOfOldHands = 12;

/** Whether somebody has raced before, as nights; null where nobody said. */
const racedBefore = choiceField(['', 'yes', 'no'])
  .default('')
  .transform((typed) => (typed === '' ? null : typed === 'yes' ? nightsOfOldHands : 0));

const paceGroup = choiceField(['', 'junior', 'adult'])
  .default('')
  .transform((typed) => (typed === '' ? null : typed));

/** Joining a meeting that has these races, named as in the form; `cars` by race. */
export function joinSchema(raceFields: readonly string[]) {
  const cars = Object.fromEntries(raceFields.map((race) => [carField(race), z.string().default('')]));
  return z
    .object({
      code: z.string().default(''),
      driverId: z.string().default(''),
      nickname: optionalField(nickname),
      racedBefore,
      paceGroup,
      raceIds: listField,
    })
    .and(z.object(cars))
    .transform((typed) => ({
      code: typed.code,
      driverId: typed.driverId,
      nickname: typed.nickname,
      paceAnswers: { paceGroup: typed.paceGroup, nightsBefore: typed.racedBefore ?? 0 },
      raceFields: typed.raceIds,
      carOf: (raceField: string) => (typed as Record<string, unknown>)[carField(raceField)] as string,
    }));
}

export const renameSchema = z.object({ nickname, racedBefore });

/** What a driver may do to an entry of their own. */
export const changeOwnEntrySchema = z.object({
  act: choiceField(['car', 'withdraw', 'return', 'enter']),
  /** The entry; for `enter` the race. */
  id: z.string().default(''),
  carId: z.string().default(''),
});
