import fp from 'fastify-plugin';
import type { Database } from '../../db/client.ts';
import type { Clock } from '../clock.ts';
import type { Config } from '../config.ts';

declare module 'fastify' {
  interface FastifyInstance {
    db: Database;
    clock: Clock;
    config: Config;
  }
}

/** Makes the database, the clock and the configuration known to every route. Whoever opened them closes them. */
export const database = fp<{ db: Database; clock: Clock; config: Config }>(
  async (app, { db, clock, config }) => {
    app.decorate('db', db);
    app.decorate('clock', clock);
    app.decorate('config', config);
  },
  { name: 'database' },
);
