import type { FastifyPluginAsync } from 'fastify';

/** Profiles handed on: by link, by code, by file, and in the club library. */
export const shareRoutes: FastifyPluginAsync = async () => {};
