import { sql } from 'drizzle-orm';
import type { LightMyRequestResponse } from 'fastify';
import { type DefaultTreeAdapterTypes, parse } from 'parse5';
import type { Database } from '../../db/client.ts';
import type { Visitor } from './app.ts';

type Node = DefaultTreeAdapterTypes.Node;
type Element = DefaultTreeAdapterTypes.Element;

/** A draft's page as somebody without scripts reads it. */
export interface DraftOnScreen {
  readonly address: string;
  readonly answer: LightMyRequestResponse;
  /** The words of the page. */
  readonly text: string;
  /** What the form that takes the draft would send. */
  readonly fields: Record<string, string | string[]>;
  /** Addresses of links by their words. */
  readonly links: ReadonlyMap<string, string>;
  /** Nicknames by lane, heat after heat: `Ada Bo –`; heats that stay begin with their word. */
  readonly heats: readonly string[];
}

/** Opens a draft as the form does, goes where it leads, and reads what is there. */
export async function openDraft(
  director: Visitor,
  rotation: string,
  fields: Record<string, string | readonly string[]> = {},
): Promise<DraftOnScreen> {
  const query = new URLSearchParams();
  const usual = { runsPerLane: '1', marshals: '0', search: '0' };
  for (const [name, value] of Object.entries({ ...usual, ...fields })) {
    for (const one of [value].flat()) query.append(name, one);
  }
  const draft = await readDraft(director, `${rotation}/draft?${query}`);
  return query.get('search') === '0' ? finished(director, draft) : draft;
}

/** Looks again until the search is over. */
export async function finished(director: Visitor, draft: DraftOnScreen): Promise<DraftOnScreen> {
  let now = draft;
  for (let tries = 0; now.answer.body.includes('<progress') && tries < 600; tries += 1) {
    await new Promise((resolve) => setTimeout(resolve, 50));
    now = await readDraft(director, draft.address);
  }
  return now;
}

/** Reads a draft at its address. */
export async function readDraft(director: Visitor, href: string): Promise<DraftOnScreen> {
  let address = href;
  let answer = await director.get(address);
  for (let hops = 0; answer.statusCode === 302 && hops < 3; hops += 1) {
    address = String(answer.headers.location);
    answer = await director.get(address);
  }
  return { address, answer, ...draftOf(answer.body) };
}

/** Takes a draft, as its button does. */
export function takeDraft(director: Visitor, rotation: string, draft: DraftOnScreen): Promise<LightMyRequestResponse> {
  const { csrf: _, ...fields } = draft.fields;
  return director.post(`${rotation}/draw`, fields);
}

/** What stands on a page, or on a piece of one. */
export function draftOf(html: string): Omit<DraftOnScreen, 'address' | 'answer'> {
  const elements = elementsOf(parse(html));
  const fields: Record<string, string | string[]> = {};
  const form = elements.find((one) => one.tagName === 'form' && /\/draw$/.test(attribute(one, 'action') ?? ''));
  for (const input of form ? elementsOf(form) : []) {
    const name = attribute(input, 'name');
    if (input.tagName !== 'input' || name === null) continue;
    const value = attribute(input, 'value') ?? '';
    const before = fields[name];
    fields[name] = before === undefined ? value : [...[before].flat(), value];
  }
  const links = elements
    .filter((one) => one.tagName === 'a')
    .map((a) => [textOf(a), attribute(a, 'href') ?? ''] as const);
  const table = elements.find((one) => attribute(one, 'id') === 'draft-table');
  const rows = table ? elementsOf(table).filter((one) => one.tagName === 'tr') : [];
  const lanes = rows[0]
    ? elementsOf(rows[0]).filter((one) => attribute(one, 'class') === null && one.tagName === 'th')
    : [];
  const heats = rows.slice(1).map((row) => {
    const cells = elementsOf(row).filter((one) => one.tagName === 'td' || one.tagName === 'th');
    const [heat, ...seats] = cells.map((cell) => textOf(cell).replace(/^▸ (.*) changed$/, '$1'));
    const kept = /(run|armed|void|stays)$/.exec(heat ?? '')?.[0];
    return [...(kept ? [kept] : []), ...seats.slice(0, lanes.length - 1)].join(' ');
  });
  const body = elements.find((one) => one.tagName === 'body');
  return { text: body ? textOf(body) : '', fields, links: new Map(links), heats };
}

function elementsOf(node: Node): Element[] {
  if (!('childNodes' in node)) return [];
  return node.childNodes.flatMap((child) => ('tagName' in child ? [child, ...elementsOf(child)] : []));
}

const attribute = (element: Element, name: string) => element.attrs.find((one) => one.name === name)?.value ?? null;

function textOf(node: Node): string {
  const parts = (one: Node): string[] =>
    'value' in one ? [one.value] : 'childNodes' in one ? one.childNodes.flatMap(parts) : [];
  return parts(node).join('').replace(/\s+/g, ' ').trim();
}

/** A fingerprint of everything in the database. */
export async function databaseHash(db: Database): Promise<string> {
  const tables = await db.clubless.execute<{ name: string }>(
    sql`select tablename as name from pg_tables where schemaname = 'public' order by tablename`,
  );
  const hashes: string[] = [];
  for (const { name } of tables) {
    // When a session was last seen is no part of the club.
    if (name === 'session') continue;
    const [row] = await db.clubless.execute<{ hash: string }>(
      sql`select md5(coalesce(string_agg(t::text, '|' order by t::text), '')) as hash from ${sql.identifier(name)} t`,
    );
    hashes.push(`${name} ${row?.hash}`);
  }
  if (hashes.length < 10) throw new Error('the database has no tables');
  return hashes.join('\n');
}
