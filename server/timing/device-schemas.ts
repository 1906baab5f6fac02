import { z } from 'zod';
import { fields } from '../../views/texts/en/fields.ts';
import { choiceField, nameField } from '../shared/fields.ts';

const name = nameField(40);

export const sensorNameSchema = z.object({ name });

export const newSensorSchema = z.object({
  name,
  track: z.string({ error: fields.choice }).regex(/^[A-Za-z0-9-]{1,64}$/, fields.choice),
  bits: choiceField(['32', '64']).transform((typed) => (typed === '32' ? 32 : 64)),
});
