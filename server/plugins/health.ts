import fp from 'fastify-plugin';

/** `GET /health`: 200 while the process and its database answer, 503 otherwise. */
export const health = fp(
  async (app) => {
    app.get('/health', { config: { access: 'everyone' } }, async (_request, reply) => {
      try {
        await app.db.ping();
        return { ok: true };
      } catch {
        return reply.code(503).header('retry-after', 2).send({ ok: false });
      }
    });
  },
  { name: 'health', dependencies: ['session'] },
);
