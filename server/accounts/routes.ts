import type { FastifyPluginAsync } from 'fastify';
import { EnterPage } from '../../views/accounts.tsx';
import { clubs as t } from '../../views/texts/en/clubs.ts';
import { people } from '../../views/texts/en/people.ts';
import { urls } from '../../views/urls.ts';
import { clubOf } from '../plugins/club.ts';
import { enter, leave } from './actions.ts';
import type { Role } from './roles.ts';
import { selectOptionalDriverName, selectOptionalInvite } from './store.ts';
import { hashSecret } from './tokens.ts';

const codeOf = (from: unknown): string => {
  const code = typeof from === 'object' && from !== null && 'code' in from ? from.code : '';
  return typeof code === 'string' ? code : '';
};

export const accountRoutes: FastifyPluginAsync = async (app) => {
  /** Whom a link lets in; null when it is unknown, used or has run out, or its driver was archived. */
  const invitedBy = (clubId: string, code: string) =>
    app.db.readClub(clubId, async (tx) => {
      const invited = await selectOptionalInvite(tx, hashSecret(code));
      if (!invited?.driverId) return invited && { role: invited.role, nickname: null };
      const nickname = await selectOptionalDriverName(tx, invited.driverId);
      return nickname === null ? null : { role: invited.role, nickname };
    });

  app.get('/c/:club/enter', { config: { access: 'everyone' } }, async (request, reply) => {
    const code = codeOf(request.query);
    return reply.page(EnterPage({ shell: reply.shell(), invited: await invitedBy(clubOf(request).id, code), code }));
  });

  app.post('/c/:club/enter', { config: { access: 'everyone' } }, async (request, reply) => {
    const club = clubOf(request);
    const label = (role: Role, number: number) =>
      people.label(role === 'director' ? t.labels.director : t.labels.timekeeper, number);
    const code = codeOf(request.body);
    const { visitor } = request;
    const invited = await invitedBy(club.id, code);
    // A device that runs the night would lose its own session.
    if (invited?.role === 'driver' && visitor && visitor.role !== 'driver') {
      return reply.page(EnterPage({ shell: reply.shell(), invited, code }), 409);
    }
    const entered = await enter(app.db, club.id, code, label, visitor?.tokenHash ?? null);
    if (!entered) return reply.page(EnterPage({ shell: reply.shell(), invited: null, code: '' }), 403);
    reply.signIn(entered.secret, entered.hours);
    return reply.see(entered.role === 'driver' ? urls.inClub(club.slug, 'profiles') : urls.club(club.slug));
  });

  app.post('/c/:club/leave', { config: { access: 'everyone' } }, async (request, reply) => {
    const club = clubOf(request);
    if (request.visitor) await leave(app.db, club.id, request.visitor.tokenHash);
    reply.signOut();
    return reply.see(urls.club(club.slug));
  });
};
