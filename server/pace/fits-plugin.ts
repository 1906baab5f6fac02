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
    app.addHook('preClose', () => app.fits.close());
  },
  { name: 'fits', dependencies: ['database', 'work'] },
);
