import type { FastifyPluginAsync } from 'fastify';
import { DriverInvitePage, InvitePage, PeoplePage } from '../../views/people.tsx';
import { urls } from '../../views/urls.ts';
import { Refusal } from '../errors.ts';
import { clubOf, idOf } from '../plugins/club.ts';
import { readForm } from '../plugins/forms.ts';
import { invite, inviteDriver, leave } from './actions.ts';
import { endSessionSchema, inviteSchema } from './schemas.ts';
import { selectSessions } from './store.ts';

/** Who is signed in, and how others get in. */
export const peopleRoutes: FastifyPluginAsync = async (app) => {
  const director = { config: { access: 'director' } } as const;

  app.get('/c/:club/people', director, async (request, reply) => {
    const club = clubOf(request);
    const page = {
      shell: reply.shell(),
      slug: club.slug,
      zone: club.zone,
      now: new Date(app.clock.nowUs() / 1000),
      sessions: await app.db.readClub(club.id, selectSessions),
      ownTokenHash: request.visitor?.tokenHash ?? null,
      ended: (request.query as { done?: unknown }).done === 'ended',
    };
    return reply.page(PeoplePage(page));
  });

  app.post('/c/:club/people/end', director, async (request, reply) => {
    const club = clubOf(request);
    const read = readForm(endSessionSchema, request.body);
    // Only the buttons of the page send this form: another content is nobody's mistake in typing.
    if (!read.ok) throw new Refusal('malformed');
    await leave(app.db, club.id, read.values.session);
    if (read.values.session === request.visitor?.tokenHash) {
      reply.signOut();
      return reply.see(urls.club(club.slug));
    }
    return reply.see(`${urls.inClub(club.slug, 'people')}?done=ended`);
  });

  app.post('/c/:club/people/invite', director, async (request, reply) => {
    const club = clubOf(request);
    const read = readForm(inviteSchema, request.body);
    if (!read.ok) throw new Refusal('malformed');
    const { role } = read.values;
    const code = await invite(app.db, club.id, role);
    const link = reply.linkTo(`${urls.inClub(club.slug, 'enter')}?code=${code}`);
    return reply.page(InvitePage({ shell: reply.shell(), slug: club.slug, role, link }));
  });

  app.post('/c/:club/drivers/:driver/device', director, async (request, reply) => {
    const club = clubOf(request);
    const driverId = idOf(request, 'driver');
    const invited = await inviteDriver(app.db, club.id, driverId);
    if (!invited) throw new Refusal('notFound');
    const link = reply.linkTo(`${urls.inClub(club.slug, 'enter')}?code=${invited.code}`);
    const { nickname } = invited;
    return reply.page(DriverInvitePage({ shell: reply.shell(), slug: club.slug, driverId, nickname, link }));
  });
};
