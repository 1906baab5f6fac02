import type { FastifyPluginAsync } from 'fastify';
import { ClubPage, ClubSettingsPage, SetupPage } from '../../views/clubs.tsx';
import { defaultLook } from '../../views/components/lane-defaults.ts';
import { clubs as t } from '../../views/texts/en/clubs.ts';
import { urls } from '../../views/urls.ts';
import { clubOf } from '../plugins/club.ts';
import { readForm } from '../plugins/forms.ts';
import { freshForm, withError } from '../shared/form.ts';
import { defaultLane } from '../tracks/defaults.ts';
import { changeClub, directorHours, setUpClub } from './actions.ts';
import { clubSchema, setupSchema } from './schemas.ts';
import { selectOptionalFirstClub } from './store.ts';

export const clubRoutes: FastifyPluginAsync = async (app) => {
  app.get('/', { config: { access: 'everyone' } }, async (_request, reply) => {
    const club = await selectOptionalFirstClub(app.db);
    if (club) return reply.redirect(urls.club(club.slug), 302);
    return reply.page(SetupPage({ shell: reply.shell(), form: freshForm(), code: null }));
  });

  app.get('/setup', { config: { access: 'setup' } }, async (request, reply) => {
    const club = await selectOptionalFirstClub(app.db);
    if (club) return reply.redirect(urls.club(club.slug), 302);
    const { code } = request.query as { code?: string };
    // The code stands in this address: no other page may learn it.
    reply.header('referrer-policy', 'same-origin');
    return reply.page(SetupPage({ shell: reply.shell(), form: freshForm(), code: code ?? null }));
  });

  app.post('/setup', { config: { access: 'setup' } }, async (request, reply) => {
    const read = readForm(setupSchema, request.body);
    const code = typeof read.form.typed.code === 'string' ? read.form.typed.code : null;
    const again = (form: typeof read.form) => reply.page(SetupPage({ shell: reply.shell(), form, code }), 422);
    if (!read.ok) return again(read.form);
    const { lanes, ...rest } = read.values;
    const looks = Array.from({ length: lanes }, (_, i) => ({ ...defaultLane, ...lookOf(i + 1) }));
    const result = await setUpClub(app.db, t.labels.director, { ...rest, lanes: looks });
    if ('refused' in result) {
      return again(withError(read.form, 'code', result.refused === 'code' ? t.setup.codeWrong : t.setup.done));
    }
    reply.signIn(result.secret, directorHours);
    return reply.see(urls.club(result.slug));
  });

  app.get('/c/:club/club', { config: { access: 'director' } }, async (request, reply) =>
    reply.page(ClubPage({ shell: reply.shell(), club: clubOf(request) })),
  );

  app.get('/c/:club/club/settings', { config: { access: 'director' } }, async (request, reply) => {
    const { name, zone } = clubOf(request);
    return reply.page(
      ClubSettingsPage({ shell: reply.shell(), club: clubOf(request), form: freshForm({ name, zone }) }),
    );
  });

  app.post('/c/:club/club/settings', { config: { access: 'director' } }, async (request, reply) => {
    const club = clubOf(request);
    const read = readForm(clubSchema, request.body);
    if (!read.ok) return reply.page(ClubSettingsPage({ shell: reply.shell(), club, form: read.form }), 422);
    await changeClub(app.db, club.id, read.values);
    return reply.see(urls.inClub(club.slug, 'club'));
  });
};

function lookOf(number: number): { number: number; colour: string; pattern: string } {
  const look = defaultLook(number);
  return { number, colour: look.colour.toLowerCase(), pattern: look.pattern };
}
