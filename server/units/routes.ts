import type { FastifyPluginAsync } from 'fastify';
import { unitApiRoutes } from './api-routes.ts';

/** Controller units: their sheets, their triggers, and the door through which they speak for themselves. */
export const unitRoutes: FastifyPluginAsync = async (app) => {
  await app.register(unitApiRoutes);
};
