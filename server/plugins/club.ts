import type { FastifyInstance } from 'fastify';
import fp from 'fastify-plugin';
import { isoDay } from '../../views/format.ts';
import { readIdField } from '../../views/urls.ts';
import { type Club, selectOptionalClub } from '../clubs/store.ts';
import { Refusal } from '../errors.ts';

declare module 'fastify' {
  interface FastifyRequest {
    /** The club of an address below `/c/:club`. */
    club: Club | null;
  }
}

/** Finds the club that an address names. */
export const club = fp(
  async (app) => {
    app.decorateRequest('club', null);
    app.addHook('onRequest', async (request) => {
      const slug = (request.params as { club?: string } | null)?.club;
      if (slug === undefined) return;
      request.club = await selectOptionalClub(app.db, slug);
      if (!request.club) throw new Refusal('notFound');
    });
  },
  { name: 'club', dependencies: ['database'] },
);

/** Tells today's date in a time zone, `YYYY-MM-DD`, by the server's clock. */
export function todayIn({ clock }: Pick<FastifyInstance, 'clock'>): (zone: string) => string {
  return (zone) => isoDay(new Date(clock.nowUs() / 1000), zone);
}

/** The club of a request whose address has one. */
export function clubOf(request: { club: Club | null }): Club {
  if (!request.club) throw new Refusal('notFound');
  return request.club;
}

/**
 * The id of a club's own row in a request's address, such as `track` of `/c/:club/tracks/:track`. Such ids are made by
 * `newId`; anything else names nothing. (Ids of races, entries and heats may hold any character: see {@link logIdOf}.)
 */
export function idOf(request: { params: unknown }, name: string): string {
  const id = (request.params as Record<string, string | undefined>)[name];
  if (id === undefined || !/^[A-Za-z0-9-]{1,64}$/.test(id)) throw new Refusal('notFound');
  return id;
}

/** The id of a race, an entry or a heat in a request's address: may come from a meeting log and hold any character. */
export function logIdOf(request: { params: unknown }, name: string): string {
  const id = readIdField((request.params as Record<string, string | undefined>)[name] ?? '');
  if (id === null) throw new Refusal('notFound');
  return id;
}
