import type { FastifyPluginAsync } from 'fastify';
import { PromisePage } from '../../views/pace-promise.tsx';
import { reliability } from '../pace/promise.ts';
import { clubOf } from '../plugins/club.ts';
import { keptPromises } from './kept-promises.ts';
import { selectToldAndRun } from './promise-store.ts';

/** Told chances held against what happened; chances are for the director alone. */
export const promiseRoutes: FastifyPluginAsync = async (app) => {
  app.get('/c/:club/pace/promise', { config: { access: 'director' } }, async (request, reply) => {
    const club = clubOf(request);
    const heats = await app.db.readClub(club.id, (tx) => selectToldAndRun(tx, club.id));
    return reply.page(PromisePage({ shell: reply.shell(), slug: club.slug, kept: reliability(keptPromises(heats)) }));
  });
};
