import { expect } from 'vitest';
import type { Visitor } from './app.ts';

/** The id that the forms of a page carry. */
export async function commandIdOn(by: Visitor, page: string): Promise<string> {
  const id = /name="command_id" value="([^"]+)"/.exec((await by.get(page)).body)?.[1];
  if (id === undefined) throw new Error(`no form of ${page} has a command id`);
  return id;
}

/**
 * Sends a form of a page with two presses at once and once more after them, and expects that all three are led to the
 * same address.
 *
 * @returns that address
 */
export async function pressTwice(
  by: Visitor,
  page: string,
  action: string,
  fields: Readonly<Record<string, string>>,
): Promise<string> {
  const form = { ...fields, command_id: await commandIdOn(by, page) };
  const presses = await Promise.all([by.post(action, form), by.post(action, form)]);
  const all = [...presses, await by.post(action, form)];
  for (const answer of all) expect(answer.statusCode, answer.body).toBe(303);
  const addresses = new Set(all.map(({ headers }) => String(headers.location)));
  expect([...addresses]).toHaveLength(1);
  return [...addresses][0] as string;
}
