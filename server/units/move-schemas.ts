import { z } from 'zod';
import { longestName } from '../profiles/model/profile.ts';
import { choiceField, nameField, tickField } from '../shared/fields.ts';

/** How the result of a move is kept. `shown` is the setup hash of the result that the form stood under. */
export const moveSchema = z
  .object({
    unit: z.string().regex(/^[A-Za-z0-9-]{1,64}$/),
    shown: z.string(),
    keep: choiceField(['new', 'version']),
    name: z.string().default(''),
    confirmed: tickField,
  })
  .transform((form, ctx) => {
    if (form.keep === 'version') return form;
    const name = nameField(longestName).safeParse(form.name);
    if (name.success) return { ...form, name: name.data };
    for (const { message } of name.error.issues) ctx.addIssue({ code: 'custom', path: ['name'], message });
    return z.NEVER;
  });
