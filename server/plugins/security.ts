import { networkInterfaces } from 'node:os';
import type { FastifyReply } from 'fastify';
import fp from 'fastify-plugin';
import type { Config } from '../config.ts';
import { Refusal } from '../errors.ts';

/**
 * Written by hand and by setting: on the plain http of a club's network, a policy that upgrades to https leaves a dead
 * page, and HSTS may not be sent.
 */
function headersFor(config: Config): Record<string, string> {
  const policy = [
    "default-src 'self'",
    "script-src 'self'",
    "style-src 'self'",
    "img-src 'self' data:",
    "connect-src 'self'",
    "font-src 'self'",
    "object-src 'none'",
    "base-uri 'none'",
    "frame-ancestors 'none'",
    "form-action 'self'",
  ];
  if (config.https) policy.push('upgrade-insecure-requests');
  return {
    'content-security-policy': policy.join('; '),
    'x-content-type-options': 'nosniff',
    // Not no-referrer: browsers then send "Origin: null" with every form, and the origin check would refuse them.
    'referrer-policy': 'same-origin',
    'cross-origin-opener-policy': 'same-origin',
    'x-robots-tag': 'noindex, nofollow',
    ...(config.https ? { 'strict-transport-security': 'max-age=31536000' } : {}),
  };
}

/** Names this server answers to. Anything else is somebody's DNS pointing at us (rebinding). */
function hostNames(config: Config): Set<string> {
  const own = Object.values(networkInterfaces()).flatMap((list) => (list ?? []).map((i) => i.address));
  const names = ['localhost', '127.0.0.1', '::1', ...own, ...config.allowedHosts];
  if (config.publicUrl) names.push(new URL(config.publicUrl).hostname);
  return new Set(names.map((n) => n.toLowerCase().replace(/%.*$/, '')));
}

declare module 'fastify' {
  interface FastifyInstance {
    /** The security headers, for the one reply that is written by hand: the live stream. */
    securityHeaders: Record<string, string>;
  }
}

/** Security headers on every answer, and the list of names the server answers to. */
export const security = fp(
  async (app) => {
    const headers = headersFor(app.config);
    app.decorate('securityHeaders', headers);
    let known = hostNames(app.config);
    app.addHook('onRequest', async (request, reply) => {
      setHeaders(reply, headers);
      const name = request.hostname.toLowerCase().replace(/^\[|\]$/g, '');
      if (known.has(name)) return;
      // The machine may have joined another network since the start.
      known = hostNames(app.config);
      if (!known.has(name)) throw new Refusal('wrongHost');
    });
  },
  { name: 'security', dependencies: ['database'] },
);

function setHeaders(reply: FastifyReply, headers: Record<string, string>): void {
  for (const [name, value] of Object.entries(headers)) reply.header(name, value);
}
