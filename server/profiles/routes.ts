import type { FastifyPluginAsync } from 'fastify';

/** A driver's profiles: their pages, versions and what is dialled in. */
export const profileRoutes: FastifyPluginAsync = async () => {};
