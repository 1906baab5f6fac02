import fp from 'fastify-plugin';
import type { Work } from '../work/work.ts';

declare module 'fastify' {
  interface FastifyInstance {
    /** Runs long work while everybody else is served. */
    work: Work;
  }
}

/** Makes the place for long work known to every route, and stops what runs there when the program ends. */
export const longWork = fp<{ work: Work }>(
  async (app, { work }) => {
    app.decorate('work', work);
    app.addHook('onClose', () => work.close());
  },
  { name: 'work' },
);
