import type { FastifyReply, FastifyRequest } from 'fastify';
import fp from 'fastify-plugin';
import { FailureFragment, FailurePage } from '../../views/failure.tsx';
import { Refusal, refusalOf } from '../errors.ts';

/** PostgreSQL and network codes that mean: not now, but perhaps in a moment. */
const passing =
  /^(ECONN|ENOENT|ENOTFOUND|EAI_|EHOST|ENET|EPIPE|ETIMEDOUT|CONNECT|57P0|57014|53|08|25006|55P03|40001|40P01)/;

function toRefusal(error: unknown): Refusal {
  if (error instanceof Refusal) return error;
  if (typeof error === 'object' && error !== null) {
    // Drizzle wraps the driver's error.
    const cause = 'cause' in error && typeof error.cause === 'object' && error.cause ? error.cause : error;
    const code = 'code' in cause && typeof cause.code === 'string' ? cause.code : '';
    if (passing.test(code)) return new Refusal('busy');
    const status = 'statusCode' in error && typeof error.statusCode === 'number' ? error.statusCode : 500;
    if (status < 500) return refusalOf(status);
  }
  return new Refusal('broken');
}

/** Every failure becomes a page, a fragment or JSON in plain words; what went wrong inside goes to the log only. */
export const failures = fp(
  async (app) => {
    const answer = (request: FastifyRequest, reply: FastifyReply, refusal: Refusal) => {
      if (refusal.status === 503 || refusal.status === 429)
        reply.header('retry-after', reply.getHeader('retry-after') ?? 2);
      if (request.url.startsWith('/api/')) {
        return reply.code(refusal.status).send({ error: refusal.code, sentence: refusal.sentence });
      }
      if (request.wantsFragment())
        return reply.fragment(FailureFragment({ sentence: refusal.sentence }), refusal.status);
      return reply.page(FailurePage({ shell: reply.shell(), sentence: refusal.sentence }), refusal.status);
    };
    app.setErrorHandler((error, request, reply) => {
      const refusal = toRefusal(error);
      if (refusal.status >= 500) {
        request.log.error({ err: error, method: request.method, url: request.url.split('?')[0] }, 'request failed');
      }
      return answer(request, reply, refusal);
    });
    app.setNotFoundHandler((request, reply) => answer(request, reply, new Refusal('notFound')));
  },
  { name: 'failures', dependencies: ['pages'] },
);
