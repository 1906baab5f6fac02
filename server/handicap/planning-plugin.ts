import fp from 'fastify-plugin';
import { PlanningDesk } from './planning-desk.ts';

declare module 'fastify' {
  interface FastifyInstance {
    /** Works out handicaps of heats to come. */
    handicaps: PlanningDesk;
  }
}

/**
 * Makes the place where handicaps are worked out known to every route, and has it look after each form that was sent for a
 * meeting: draws, changes by hand, settings, presses and rulings, late entries. A page waits for none of it.
 */
export const handicaps = fp(
  async (app) => {
    app.decorate('handicaps', new PlanningDesk(app));
    app.addHook('onResponse', async (request, reply) => {
      const meeting = (request.params as { meeting?: string } | null)?.meeting;
      const { club, method, routeOptions } = request;
      if (!club || meeting === undefined || method !== 'POST' || reply.statusCode >= 400) return;
      // Taps are laps under way, and many.
      if (routeOptions.url?.endsWith('/taps') !== true) app.handicaps.look(club.id, meeting);
    });
    app.addHook('preClose', () => app.handicaps.close());
  },
  { name: 'handicaps', dependencies: ['database', 'work', 'club', 'fits'] },
);
