import type { FastifyPluginAsync } from 'fastify';

/** Controller units: their sheets, their triggers, and the door through which they speak for themselves. */
export const unitRoutes: FastifyPluginAsync = async () => {};
