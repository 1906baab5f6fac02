import type { FastifyPluginAsync } from 'fastify';

/** Wires, supply, fuse and capacitor: what a controller and its leads have to stand. */
export const workbenchRoutes: FastifyPluginAsync = async () => {};
