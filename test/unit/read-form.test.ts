import { describe, expect, test } from 'vitest';
import { z } from 'zod';
import { readForm } from '../../server/plugins/forms.ts';

/** What people read beside a field, whoever wrote its schema. */
describe('a form that is not right', () => {
  const errorsOf = (schema: z.ZodType, body: unknown) => {
    const read = readForm(schema, body);
    return read.ok ? null : read.form.errors;
  };

  test.each([{}, { a: ['x', 'y'] }, null, 'text'])(
    '%j: a field that is not there is asked for in plain words',
    (body) => {
      expect(errorsOf(z.object({ a: z.string() }), body)).toEqual({ a: 'This is needed.' });
    },
  );

  test('a sentence of the schema comes first', () => {
    const schema = z.object({ a: z.string({ error: 'Choose a car.' }), b: z.string().min(3, 'Three letters.') });
    expect(errorsOf(schema, { b: 'x' })).toEqual({ a: 'Choose a car.', b: 'Three letters.' });
  });

  test('what was typed comes back', () => {
    const read = readForm(z.object({ a: z.string() }), { b: 'kept', c: { d: 1 } });
    expect(read.form).toEqual({ typed: { b: 'kept' }, errors: { a: 'This is needed.' } });
  });
});
