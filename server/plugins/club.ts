import fp from 'fastify-plugin';
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

/** The club of a request whose address has one. */
export function clubOf(request: { club: Club | null }): Club {
  if (!request.club) throw new Refusal('notFound');
  return request.club;
}

/** An id in a request's address, such as `track` of `/c/:club/tracks/:track`; an unreadable one names nothing. */
export function idOf(request: { params: unknown }, name: string): string {
  const text = (request.params as Record<string, string | undefined>)[name];
  const id = text === undefined ? null : readIdField(text);
  if (id === null) throw new Refusal('notFound');
  return id;
}
