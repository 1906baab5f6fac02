import fp from 'fastify-plugin';
import { recount } from './recount-actions.ts';

declare module 'fastify' {
  interface FastifyInstance {
    /**
     * Makes what is kept of a meeting's results again, after the settings that counting goes by were changed. Meetings
     * lie below results and cannot do it themselves.
     */
    recount(clubId: string, meetingId: string): Promise<void>;
  }
}

export const recounting = fp(
  async (app) => {
    app.decorate('recount', (clubId: string, meetingId: string) => recount(app.db, clubId, meetingId));
  },
  { name: 'recounting', dependencies: ['database'] },
);
