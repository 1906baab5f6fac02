import type { FastifyPluginAsync } from 'fastify';
import { SetupPage } from '../../views/clubs.tsx';
import { clubs as t } from '../../views/texts/en/clubs.ts';
import { urls } from '../../views/urls.ts';
import { directorHours } from '../clubs/actions.ts';
import { sampleSchema } from '../clubs/schemas.ts';
import { readForm } from '../plugins/forms.ts';
import { freshForm } from '../shared/form.ts';
import { openSampleClub } from './actions.ts';

export const sampleRoutes: FastifyPluginAsync = async (app) => {
  app.post(urls.setupSample, { config: { access: 'setup' } }, async (request, reply) => {
    const read = readForm(sampleSchema, request.body);
    // A wrong code is typed anew: the page asks for it, whatever link it came with.
    const again = (sampleError: string) =>
      reply.page(SetupPage({ shell: reply.shell(), form: freshForm(), code: null, sampleError }), 422);
    if (!read.ok) return again(t.setup.codeWrong);
    const { code, zone } = read.values;
    const admission = { code, label: t.labels.director };
    const opened = await openSampleClub(app.db, admission, { zone, nowUs: app.clock.nowUs() });
    if ('refused' in opened) return again(opened.refused === 'code' ? t.setup.codeWrong : t.setup.done);
    reply.signIn(opened.secret, directorHours);
    return reply.see(urls.club(opened.slug));
  });
};
