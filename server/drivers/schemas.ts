import { z } from 'zod';
import { drivers as t } from '../../views/texts/en/drivers.ts';
import { fields } from '../../views/texts/en/fields.ts';
import { choiceField, integerField, nameField, optionalField, tickField } from '../shared/fields.ts';
import { type LinesProblem, linesMax, nicknameMax, readNicknames } from './nicknames.ts';

/** Whether draws may make the driver a marshal; a form that does not ask leaves everybody in. */
const marshals = choiceField(['yes', 'no'])
  .default('yes')
  .transform((typed) => typed === 'yes');

/** What pace needs to know; a form that does not ask leaves it as it is. */
const paceGroup = choiceField(['', 'junior', 'adult'])
  .transform((typed) => (typed === '' ? null : typed))
  .optional();
const nightsBefore = integerField(0, 2000).optional();

export const driverSchema = z.object({
  nickname: nameField(nicknameMax),
  public: tickField,
  marshals,
  paceGroup,
  nightsBefore,
});

const nicknames = z.string({ error: t.noLines }).transform((typed, ctx) => {
  const read = readNicknames(typed);
  if ('nicknames' in read) return read.nicknames;
  ctx.addIssue({ code: 'custom', message: sentenceFor(read.problem) });
  return z.NEVER;
});

/** Several drivers, one nickname a line. */
export const severalSchema = z.object({ nicknames, public: tickField });

export const classSchema = z.object({ name: nameField(40) });

const idField = z.string().regex(/^[A-Za-z0-9-]{1,64}$/, { error: fields.choice });

export const carSchema = z.object({
  name: nameField(40),
  carClass: optionalField(idField),
  driver: optionalField(idField),
});

/** What is wrong with a list of nicknames. */
export function sentenceFor(problem: LinesProblem): string {
  switch (problem.kind) {
    case 'empty':
      return t.noLines;
    case 'many':
      return t.tooManyLines(linesMax);
    case 'twice':
      return t.line(problem.line, t.twice(problem.nickname, problem.before));
    case 'name': {
      const sentences = {
        long: fields.nameLong(nicknameMax),
        characters: fields.nameCharacters,
        marks: fields.nameMarks,
      };
      return t.line(problem.line, sentences[problem.problem]);
    }
  }
}
