import { z } from 'zod';
import { fields } from '../../views/texts/en/fields.ts';
import { rotation as t } from '../../views/texts/en/rotation.ts';
import { readIdField } from '../../views/urls.ts';
import { choiceField } from '../shared/fields.ts';

/** An id in a form field, in JSON escapes. */
const idField = z.string({ error: fields.choice }).transform((typed, ctx) => {
  const id = typed === '' ? null : readIdField(typed);
  if (id !== null) return id;
  ctx.addIssue({ code: 'custom', message: fields.choice });
  return z.NEVER;
});

export const stepSchema = z.object({ heat: idField, by: choiceField(['earlier', 'later']) });
export const moveSchema = z.object({ heat: idField, to: idField });
export const removeSchema = z.object({ heat: idField });

/** One lane of one heat, `h3/2`: the lane stands after the last slash. */
const seatField = z.string({ error: fields.choice }).transform((typed, ctx) => {
  const slash = typed.lastIndexOf('/');
  const heat = slash > 0 ? readIdField(typed.slice(0, slash)) : null;
  const lane = Number(typed.slice(slash + 1));
  if (heat !== null && Number.isInteger(lane) && lane >= 1) return { heat, lane };
  ctx.addIssue({ code: 'custom', message: fields.choice });
  return z.NEVER;
});

export const swapSchema = z.object({ first: seatField, second: seatField });

/** The field of who drives on a lane of a heat that is added by hand. */
export const addLaneField = (lane: number) => `lane-${lane}`;

/** A heat by hand: who drives on each of these lanes; nobody is allowed, but not everywhere. */
export function addSchema(lanes: readonly number[]) {
  const shape = Object.fromEntries(lanes.map((lane) => [addLaneField(lane), z.string().default('')]));
  return z.object(shape).transform((typed, ctx) => {
    const seats = lanes.flatMap((lane) => {
      const field = typed[addLaneField(lane)] ?? '';
      const entryId = field === '' ? null : readIdField(field);
      return entryId === null ? [] : [{ lane, entryId }];
    });
    const entries = seats.map((seat) => seat.entryId);
    const message = seats.length === 0 ? t.addEmpty : new Set(entries).size < entries.length ? t.addTwice : null;
    if (message === null) return seats;
    ctx.addIssue({ code: 'custom', message, path: [addLaneField(lanes[0] ?? 1)] });
    return z.NEVER;
  });
}
