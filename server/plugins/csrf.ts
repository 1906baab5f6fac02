import type { FastifyReply, FastifyRequest } from 'fastify';
import fp from 'fastify-plugin';
import { csrfToken, newSecret } from '../accounts/tokens.ts';
import { Refusal } from '../errors.ts';

declare module 'fastify' {
  interface FastifyReply {
    /** The token a form of this answer must carry. Gives a browser without a session a cookie to bind it to. */
    csrf(): string;
  }
}

const safe = new Set(['GET', 'HEAD', 'OPTIONS']);

/**
 * Refuses changes that another page started. Browsers say where a request comes from in `Sec-Fetch-Site` (not on the
 * plain http of a club's network) or in `Origin`; where neither says "from here", the form's token must.
 */
export const csrf = fp(
  async (app) => {
    const before = app.config.https ? '__Host-lw_pre' : 'lw_pre';
    const options = { path: '/', httpOnly: true, sameSite: 'lax', secure: app.config.https } as const;
    const binding = (request: FastifyRequest) => request.cookies[app.sessionCookie] ?? request.cookies[before];

    app.decorateReply('csrf', function (this: FastifyReply) {
      // Refused before its cookies were read: such an answer has no form.
      if (!this.request.cookies) return '';
      const cookie = binding(this.request);
      if (cookie) return csrfToken(cookie);
      const fresh = newSecret();
      this.request.cookies[before] = fresh;
      this.setCookie(before, fresh, options);
      return csrfToken(fresh);
    });

    app.addHook('preHandler', async (request) => {
      if (safe.has(request.method) || request.is404) return; // nothing is changed where there is nothing
      if (request.routeOptions.config.access === 'device') return; // a bearer token; cookies are not looked at
      const site = request.headers['sec-fetch-site'];
      if (site !== undefined) {
        if (site === 'same-origin' || site === 'none') return;
        throw new Refusal('wrongOrigin');
      }
      const origin = request.headers.origin;
      if (origin !== undefined && origin !== 'null') {
        if (origin === `${request.protocol}://${request.host}`) return;
        throw new Refusal('wrongOrigin');
      }
      const cookie = binding(request);
      const token = tokenOf(request);
      if (!cookie || token !== csrfToken(cookie)) throw new Refusal('wrongOrigin');
    });
  },
  { name: 'csrf', dependencies: ['session'] },
);

function tokenOf(request: FastifyRequest): string | undefined {
  const header = request.headers['x-csrf-token'];
  if (typeof header === 'string') return header;
  const body = request.body;
  if (typeof body !== 'object' || body === null || !('csrf' in body)) return undefined;
  return typeof body.csrf === 'string' ? body.csrf : undefined;
}
