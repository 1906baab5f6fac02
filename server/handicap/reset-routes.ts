import type { FastifyPluginAsync } from 'fastify';
import { urls } from '../../views/urls.ts';
import { clubOf, idOf } from '../plugins/club.ts';
import { resetLowMarks } from './actions.ts';

/** Forgets what a driver's handicap went by until today; see `guardedPace`. */
export const resetRoutes: FastifyPluginAsync = async (app) => {
  app.post('/c/:club/drivers/:driver/pace-reset', { config: { access: 'director' } }, async (request, reply) => {
    const { id: clubId, slug } = clubOf(request);
    const driverId = idOf(request, 'driver');
    await resetLowMarks(app.db, clubId, driverId);
    return reply.see(urls.driver(slug, driverId, 'edit'));
  });
};
