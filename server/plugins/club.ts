import fp from 'fastify-plugin';
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
