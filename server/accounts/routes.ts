import type { FastifyPluginAsync } from 'fastify';
import { EnterPage } from '../../views/accounts.tsx';
import { clubs as t } from '../../views/texts/en/clubs.ts';
import { people } from '../../views/texts/en/people.ts';
import { urls } from '../../views/urls.ts';
import { clubOf } from '../plugins/club.ts';
import { enter, leave, sessionHours } from './actions.ts';
import type { Role } from './roles.ts';
import { selectOptionalInvite } from './store.ts';
import { hashSecret } from './tokens.ts';

const codeOf = (from: unknown): string => {
  const code = typeof from === 'object' && from !== null && 'code' in from ? from.code : '';
  return typeof code === 'string' ? code : '';
};

export const accountRoutes: FastifyPluginAsync = async (app) => {
  app.get('/c/:club/enter', { config: { access: 'everyone' } }, async (request, reply) => {
    const code = codeOf(request.query);
    const role = await app.db.readClub(clubOf(request).id, (tx) => selectOptionalInvite(tx, hashSecret(code)));
    return reply.page(EnterPage({ shell: reply.shell(), role, code }));
  });

  app.post('/c/:club/enter', { config: { access: 'everyone' } }, async (request, reply) => {
    const club = clubOf(request);
    const label = (role: Role, number: number) =>
      people.label(role === 'director' ? t.labels.director : t.labels.timekeeper, number);
    const entered = await enter(app.db, club.id, codeOf(request.body), label);
    if (!entered) return reply.page(EnterPage({ shell: reply.shell(), role: null, code: '' }), 403);
    reply.signIn(entered.secret, sessionHours[entered.role]);
    return reply.see(urls.club(club.slug));
  });

  app.post('/c/:club/leave', { config: { access: 'everyone' } }, async (request, reply) => {
    const club = clubOf(request);
    if (request.visitor) await leave(app.db, club.id, request.visitor.tokenHash);
    reply.signOut();
    return reply.see(urls.club(club.slug));
  });
};
