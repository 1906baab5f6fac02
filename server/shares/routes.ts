import type { FastifyPluginAsync } from 'fastify';
import { libraryRoutes } from './library-routes.ts';
import { linkRoutes } from './link-routes.ts';
import { publicShareRoutes } from './public-routes.ts';
import { receiveRoutes } from './receive-routes.ts';

/** Profiles handed on: by link, by code, by file, and in the club library. */
export const shareRoutes: FastifyPluginAsync = async (app) => {
  await app.register(linkRoutes);
  await app.register(publicShareRoutes);
  await app.register(libraryRoutes);
  await app.register(receiveRoutes);
};
