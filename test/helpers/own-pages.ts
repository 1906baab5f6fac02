import { type DefaultTreeAdapterTypes, parse } from 'parse5';
import { expect } from 'vitest';
import type { Role } from '../../server/accounts/roles.ts';
import { insertClub } from '../../server/clubs/store.ts';
import { errors } from '../../views/texts/en/errors.ts';
import { signedIn, type TestApp, Visitor } from './app.ts';

/** A club with nothing in it, and its director's browser. */
export async function emptyClub(test: TestApp, slug = 'owls'): Promise<{ clubId: string; director: Visitor }> {
  const clubId = slug;
  await test.db.withClub(clubId, (tx) => insertClub(tx, { id: clubId, slug, name: `Club ${slug}`, zone: 'UTC' }));
  return { clubId, director: await signedIn(test, clubId, 'director') };
}

/** Expects that of all visitors only the director may open or send these addresses. */
export async function expectDirectorOnly(
  test: TestApp,
  clubId: string,
  urls: { get: readonly string[]; post: readonly string[] },
): Promise<void> {
  const roles: (Role | null)[] = ['timekeeper', 'driver', null];
  for (const role of roles) {
    const visitor = role === null ? new Visitor(test.app) : await signedIn(test, clubId, role);
    // A page that everybody may see gives the browser its token: nothing is refused for lack of one.
    await visitor.get(`/c/${clubId}/enter`);
    const expectRefused = (answer: { statusCode: number; body: string }, what: string) => {
      expect(answer.statusCode, what).toBe(403);
      expect(answer.body, what).toContain(errors.notAllowedDirector);
    };
    for (const url of urls.get) expectRefused(await visitor.get(url), `${role} GET ${url}`);
    for (const url of urls.post) expectRefused(await visitor.post(url), `${role} POST ${url}`);
  }
}

/** Names that somebody might try: the first must be refused everywhere, the others must stand on pages as they are. */
export const hostileNames = {
  refused: ['', '   ', 'a\u202eb', 'a\u200bb', 'tab\u0007', 'x'.repeat(300), 'Z\u0301\u0301\u0301\u0301algo'],
  allowed: ['<img onerror=x>', '"><b>&amp;', "'); drop--", '${7*7}', '👩‍👩‍👧‍👦 Ⅷ', 'ليلى'],
} as const;

/** A text as it stands in HTML. */
export function inHtml(text: string): string {
  return text.replace(/&/g, '&amp;').replace(/</g, '&lt;').replace(/"/g, '&quot;');
}

type Element = DefaultTreeAdapterTypes.Element;

/** What a browser without scripts would send with a page's form, untouched. Throws when there is no such form. */
export function formFields(html: string, action: string): Record<string, string> {
  const form = elementsIn(parse(html)).find((e) => e.tagName === 'form' && attribute(e, 'action') === action);
  if (!form) throw new Error(`no form for ${action}`);
  const fields: Record<string, string> = {};
  for (const control of elementsIn(form)) {
    const name = attribute(control, 'name');
    if (name === null || control.tagName === 'button') continue;
    const type = attribute(control, 'type');
    if ((type === 'radio' || type === 'checkbox') && attribute(control, 'checked') === null) continue;
    fields[name] = valueOf(control);
  }
  return fields;
}

function elementsIn(node: DefaultTreeAdapterTypes.ParentNode): Element[] {
  return node.childNodes.flatMap((child) => ('tagName' in child ? [child, ...elementsIn(child)] : []));
}

function attribute(element: Element, name: string): string | null {
  return element.attrs.find((a) => a.name === name)?.value ?? null;
}

function valueOf(control: Element): string {
  if (control.tagName === 'select') {
    const options = elementsIn(control);
    const chosen = options.find((option) => attribute(option, 'selected') !== null) ?? options[0];
    return chosen ? (attribute(chosen, 'value') ?? '') : '';
  }
  if (control.tagName === 'textarea') {
    return control.childNodes.map((child) => ('value' in child ? child.value : '')).join('');
  }
  return attribute(control, 'value') ?? '';
}
