import type { FastifyPluginAsync } from 'fastify';
import { profileAdviceRoutes } from './advice-routes.ts';
import { profileHeatRoutes } from './heat-routes.ts';
import { profileListRoutes } from './list-routes.ts';
import { motorRoutes } from './motor-routes.ts';
import { profilePreviewRoutes } from './preview-routes.ts';
import { profilePageRoutes } from './profile-routes.ts';
import { profileVersionRoutes } from './version-routes.ts';

/** A driver's profiles: their pages, versions and what is dialled in. */
export const profileRoutes: FastifyPluginAsync = async (app) => {
  await app.register(profileListRoutes);
  await app.register(profilePageRoutes);
  await app.register(profileVersionRoutes);
  await app.register(profilePreviewRoutes);
  await app.register(profileHeatRoutes);
  await app.register(motorRoutes);
  await app.register(profileAdviceRoutes);
};
