import type { FastifyPluginAsync } from 'fastify';
import { Ingest } from './ingest-actions.ts';
import { sensorRoutes } from './sensor-routes.ts';
import { tapsRoutes } from './taps-routes.ts';

/** The doors through which crossings arrive, behind which they share one batcher. */
export const timingRoutes: FastifyPluginAsync = async (app) => {
  const ingest = new Ingest(app.db);
  await app.register(sensorRoutes, { ingest });
  await app.register(tapsRoutes, { ingest });
};
