import type { FastifyInstance, InjectOptions, LightMyRequestResponse } from 'fastify';
import { type Database, openDatabase } from '../../db/client.ts';
import type { Role } from '../../server/accounts/roles.ts';
import { insertSession } from '../../server/accounts/store.ts';
import { hashSecret, newSecret } from '../../server/accounts/tokens.ts';
import { buildApp } from '../../server/app.ts';
import { fixedClock } from '../../server/clock.ts';
import { readConfig } from '../../server/config.ts';
import { createTestDatabase } from './postgres.ts';

export type TestApp = {
  app: FastifyInstance;
  db: Database;
  clock: ReturnType<typeof fixedClock>;
  close(): Promise<void>;
};

/** The whole program over its own empty database, with a clock that only the test moves. */
export async function startTestApp(env: Record<string, string> = {}): Promise<TestApp> {
  const database = await createTestDatabase();
  const db = openDatabase(database.address, { max: 4 });
  const clock = fixedClock();
  const read = readConfig({ LOG_LEVEL: 'silent', ...env });
  if ('problems' in read) throw new Error(read.problems.join('\n'));
  const app = await buildApp({ config: read.config, db, clock });
  await app.ready();
  return {
    app,
    db,
    clock,
    async close() {
      await app.close();
      await db.close();
      await database.drop();
    },
  };
}

/** A browser without scripts: keeps cookies, posts forms with the token of its last page. */
export class Visitor {
  readonly #app: FastifyInstance;
  readonly #cookies = new Map<string, string>();
  #token = '';

  constructor(app: FastifyInstance) {
    this.#app = app;
  }

  async get(url: string): Promise<LightMyRequestResponse> {
    return this.#send({ method: 'GET', url });
  }

  /** Posts a form as a browser does; a list sends its name several times. */
  async post(
    url: string,
    fields: Record<string, string | readonly string[]> = {},
    headers: Record<string, string> = {},
  ): Promise<LightMyRequestResponse> {
    const body = new URLSearchParams();
    for (const [name, value] of Object.entries(fields)) {
      for (const one of typeof value === 'string' ? [value] : value) body.append(name, one);
    }
    if (!body.has('csrf')) body.set('csrf', this.#token);
    return this.#send({
      method: 'POST',
      url,
      headers: { 'content-type': 'application/x-www-form-urlencoded', ...headers },
      payload: body.toString(),
    });
  }

  /** Posts a form as htmx does, for pieces of a page. */
  async fragment(url: string, fields: Record<string, string | readonly string[]>): Promise<LightMyRequestResponse> {
    return this.post(url, fields, { 'hx-request': 'true', 'hx-request-type': 'partial' });
  }

  /** Posts a form that carries a file. */
  async upload(url: string, field: string, file: { name: string; bytes: Uint8Array }): Promise<LightMyRequestResponse> {
    const form = new FormData();
    form.set(field, new Blob([new Uint8Array(file.bytes)]), file.name);
    return this.uploadForm(url, form);
  }

  /** Posts a form with any fields and files. */
  async uploadForm(url: string, form: FormData): Promise<LightMyRequestResponse> {
    if (!form.has('csrf')) form.set('csrf', this.#token);
    const encoded = new Response(form);
    return this.#send({
      method: 'POST',
      url,
      headers: { 'content-type': encoded.headers.get('content-type') ?? '' },
      payload: Buffer.from(await encoded.arrayBuffer()),
    });
  }

  get cookies(): Record<string, string> {
    return Object.fromEntries(this.#cookies);
  }

  setCookie(name: string, value: string): void {
    this.#cookies.set(name, value);
  }

  async #send(options: InjectOptions): Promise<LightMyRequestResponse> {
    const answer = await this.#app.inject({ ...options, cookies: this.cookies });
    for (const cookie of answer.cookies) {
      if (cookie.value === '') this.#cookies.delete(cookie.name);
      else this.#cookies.set(cookie.name, cookie.value);
    }
    const token = /<meta name="csrf-token" content="([^"]*)"/.exec(answer.body)?.[1];
    if (token) this.#token = token;
    return answer;
  }
}

/** A browser that is signed in to a club. */
export async function signedIn(
  test: TestApp,
  clubId: string,
  role: Role,
  more: { driverId?: string; meetingId?: string; label?: string; hours?: number } = {},
): Promise<Visitor> {
  const secret = newSecret();
  await test.db.withClub(clubId, (tx) =>
    insertSession(tx, {
      clubId,
      tokenHash: hashSecret(secret),
      role,
      label: more.label ?? role,
      driverId: more.driverId ?? null,
      meetingId: more.meetingId ?? null,
      hours: more.hours ?? 12,
    }),
  );
  const visitor = new Visitor(test.app);
  visitor.setCookie(test.app.sessionCookie, secret);
  return visitor;
}
