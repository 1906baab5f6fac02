import type { FastifyRequest } from 'fastify';

/**
 * What of a request stands in the log: never its query, which may hold a one-time code, and never a code that is part
 * of its address; then the route stands in its place.
 */
export function requestForLog({ method, url, params, routeOptions, ip }: FastifyRequest): Record<string, unknown> {
  const hasCode = typeof params === 'object' && params !== null && 'code' in params;
  return { method, url: hasCode ? routeOptions?.url : url.split('?')[0], remoteAddress: ip };
}

/** What of an error stands in the log: the values of a failed statement are somebody's names. */
export function errorForLog(error: Error & { code?: unknown; cause?: unknown }): {
  type: string;
  message: string;
  stack: string;
  code?: unknown;
  cause?: unknown;
} {
  const withoutValues = (text: string) => text.replace(/\nparams:.*(?:\n(?!\s+at ).*)*/, '');
  return {
    type: error.name,
    message: withoutValues(error.message),
    stack: withoutValues(error.stack ?? ''),
    ...(error.code === undefined ? {} : { code: error.code }),
    ...(error.cause instanceof Error ? { cause: errorForLog(error.cause) } : {}),
  };
}
