import cookie from '@fastify/cookie';
import type { FastifyReply, FastifyRequest } from 'fastify';
import fp from 'fastify-plugin';
import { isOwnDevice } from '../accounts/actions.ts';
import { type Access, may, type Role } from '../accounts/roles.ts';
import { selectOptionalSession, touchSession } from '../accounts/store.ts';
import { hashSecret } from '../accounts/tokens.ts';
import { Refusal, type RefusalCode } from '../errors.ts';

/** Who is asking. */
export type Visitor = {
  role: Role;
  /** Stands behind each of their rulings: "director", "timekeeper 2", a nickname. */
  label: string;
  tokenHash: string;
  driverId: string | null;
  meetingId: string | null;
  /** A driver's own device, signed in by a link of the director's. One that joined with the code of a night is not. */
  ownDevice: boolean;
};

declare module 'fastify' {
  interface FastifyInstance {
    /** Name of the session cookie. */
    sessionCookie: string;
    /** Every route and who may use it, in the order in which they were registered. */
    accessTable: { readonly method: string; readonly url: string; readonly access: Access }[];
  }
  interface FastifyRequest {
    /** Null for somebody who is not signed in. */
    visitor: Visitor | null;
  }
  interface FastifyReply {
    /** Signs this browser in: sets the cookie that goes with a stored session. */
    signIn(secret: string, hours: number): void;
    signOut(): void;
  }
  interface FastifyContextConfig {
    /** Who may use the route. Every route names it; there is no default. */
    access?: Access;
  }
}

const refusalFor: Partial<Record<Access, RefusalCode>> = {
  director: 'notAllowedDirector',
  timing: 'notAllowedTiming',
  driver: 'notAllowedDriver',
  own: 'notAllowedOwn',
};

/** Reads the session cookie and enforces each route's `access`. Needs `request.club`, so runs after it was found. */
export const session = fp(
  async (app) => {
    await app.register(cookie);
    // A cookie with the __Host- prefix is refused by browsers over plain http.
    const name = app.config.https ? '__Host-lw_sid' : 'lw_sid';
    const options = { path: '/', httpOnly: true, sameSite: 'lax', secure: app.config.https } as const;
    app.decorate('sessionCookie', name);
    app.decorateRequest('visitor', null);
    app.decorateReply('signIn', function (this: FastifyReply, secret: string, hours: number) {
      this.setCookie(name, secret, { ...options, maxAge: hours * 3600 });
    });
    app.decorateReply('signOut', function (this: FastifyReply) {
      this.clearCookie(name, options);
    });

    app.decorate('accessTable', []);
    app.addHook('onRoute', (route) => {
      // Files are handed out by a library, whose routes cannot say it themselves.
      if (route.url.startsWith('/assets/')) route.config = { ...route.config, access: 'everyone' };
      const access = route.config?.access;
      if (!access) throw new Error(`route ${route.method} ${route.url} does not say who may use it`);
      for (const method of [route.method].flat()) app.accessTable.push({ method, url: route.url, access });
    });

    const find = async (request: FastifyRequest): Promise<Visitor | null> => {
      const secret = request.cookies[name];
      const club = request.club;
      if (!secret || !club) return null;
      const row = await app.db.readClub(club.id, (tx) => selectOptionalSession(tx, hashSecret(secret)));
      if (!row) return null;
      if (row.seenLongAgo) await app.db.withClub(club.id, (tx) => touchSession(tx, row.tokenHash));
      return {
        role: row.role as Role,
        label: row.label,
        tokenHash: row.tokenHash,
        driverId: row.driverId,
        meetingId: row.meetingId,
        ownDevice: isOwnDevice(row),
      };
    };

    app.addHook('onRequest', async (request) => {
      const access = request.routeOptions.config.access;
      if (access === undefined || access === 'device') return; // an unknown address, or a token instead of a session
      request.visitor = await find(request);
      const refusal = refusalFor[access];
      if (refusal && !may(request.visitor?.role ?? null, access)) throw new Refusal(refusal);
    });
  },
  { name: 'session', dependencies: ['database', 'club'] },
);
