import type { FastifyPluginAsync } from 'fastify';
import { unitApiRoutes } from './api-routes.ts';
import { unitCheckRoutes } from './check-routes.ts';
import { unitMoveRoutes } from './move-routes.ts';
import { unitSheetRoutes } from './sheet-routes.ts';
import { unitPageRoutes } from './unit-routes.ts';

/** Controller units: their sheets, their triggers, and the door through which they speak for themselves. */
export const unitRoutes: FastifyPluginAsync = async (app) => {
  await app.register(unitPageRoutes);
  await app.register(unitSheetRoutes);
  await app.register(unitCheckRoutes);
  await app.register(unitApiRoutes);
  await app.register(unitMoveRoutes);
};
