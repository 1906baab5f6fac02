import formbody from '@fastify/formbody';
import fp from 'fastify-plugin';
import type { z } from 'zod';
import { fields as sentences } from '../../views/texts/en/fields.ts';
import type { FormState } from '../shared/form.ts';

/** Forms of the pages are short; a larger body is refused before it is read. */
export const formLimitBytes = 32 * 1024;

/** Reads `application/x-www-form-urlencoded` bodies. */
export const forms = fp(
  async (app) => {
    await app.register(formbody, { bodyLimit: formLimitBytes });
  },
  { name: 'forms' },
);

export type FormResult<T> = { ok: true; values: T; form: FormState } | { ok: false; form: FormState };

/**
 * Checks a form against its schema.
 *
 * @param body the parsed body of the request; fields that came several times are lists
 * @returns the values, or the form with what was typed and one sentence a field. `form` is there in both cases, for an
 *   action that finds something the schema could not
 */
export function readForm<S extends z.ZodType>(schema: S, body: unknown): FormResult<z.output<S>> {
  const fields = typeof body === 'object' && body !== null ? (body as Record<string, unknown>) : {};
  const typed: Record<string, string | string[]> = {};
  for (const [name, value] of Object.entries(fields)) {
    if (typeof value === 'string') typed[name] = value;
    else if (Array.isArray(value)) typed[name] = value.filter((v): v is string => typeof v === 'string');
  }
  const parsed = schema.safeParse(typed, {
    // A field that is not there at all, for which its schema has no sentence of its own.
    error: ({ code }) => (code === 'invalid_type' ? sentences.missing : undefined),
  });
  if (parsed.success) return { ok: true, values: parsed.data, form: { typed, errors: {} } };
  const errors: Record<string, string> = {};
  for (const issue of parsed.error.issues) {
    const field = issue.path.join('.');
    errors[field] ??= issue.message;
  }
  return { ok: false, form: { typed, errors } };
}
