import fp from 'fastify-plugin';
import { FitDesk } from './fit-desk.ts';

declare module 'fastify' {
  interface FastifyInstance {
    /** Works out pace in the background. */
    fits: FitDesk;
  }
}

/** Makes the place where pace is worked out known to every route, and stops it before the program ends. */
export const fits = fp(
  async (app) => {
    app.decorate('fits', new FitDesk(app));
    // Heats that were confirmed or corrected, and what was said of drivers. No page waits for it.
    app.addHook('onResponse', async ({ method, club, params, routeOptions }, { statusCode }) => {
      const { meeting, driver } = (params ?? {}) as { meeting?: string; driver?: string };
      if (method !== 'POST' || statusCode >= 400 || !club || (meeting ?? driver) === undefined) return;
      // Taps are laps under way, and many.
      if (!routeOptions.url?.endsWith('/taps')) app.fits.soon(club.id);
    });
    app.addHook('preClose', () => app.fits.close());
  },
  { name: 'fits', dependencies: ['database', 'work'] },
);
