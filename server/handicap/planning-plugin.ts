import type { FastifyRequest } from 'fastify';
import fp from 'fastify-plugin';
import { PlanningDesk } from './planning-desk.ts';
import { selectMeetingsWithHandicap } from './store.ts';

declare module 'fastify' {
  interface FastifyInstance {
    /** Works out handicaps of heats to come. */
    handicaps: PlanningDesk;
  }
}

type Params = { meeting?: string; driver?: string } | null;

/**
 * Makes the place where handicaps are worked out known to every route, and has it look after each form that was sent for a
 * meeting or a driver: draws, changes by hand, settings, presses and rulings, late entries. No page waits for it.
 */
export const handicaps = fp(
  async (app) => {
    app.decorate('handicaps', new PlanningDesk(app));

    const meetingsOf = async ({ club, params, routeOptions }: FastifyRequest): Promise<string[]> => {
      const { meeting, driver } = (params as Params) ?? {};
      // Taps are laps under way, and many.
      if (!club || routeOptions.url?.endsWith('/taps')) return [];
      if (meeting !== undefined) return [meeting];
      if (driver === undefined) return [];
      return app.db.readClub(club.id, (tx) => selectMeetingsWithHandicap(tx, club.id, driver));
    };

    app.addHook('onResponse', async (request, reply) => {
      if (request.method !== 'POST' || reply.statusCode >= 400 || !request.club) return;
      for (const meeting of await meetingsOf(request)) app.handicaps.look(request.club.id, meeting);
    });
    app.addHook('preClose', () => app.handicaps.close());
  },
  { name: 'handicaps', dependencies: ['database', 'work', 'club', 'fits'] },
);
