import type { FastifyPluginAsync, FastifyReply } from 'fastify';
import { SlowGuardPage } from '../../views/slow-guard.tsx';
import { slowGuard as t } from '../../views/texts/en/slow-guard.ts';
import { urls } from '../../views/urls.ts';
import { selectSlowGuard } from '../pace/pace-store.ts';
import { clubOf } from '../plugins/club.ts';
import { readForm } from '../plugins/forms.ts';
import { type FormState, freshForm, withError } from '../shared/form.ts';
import { setSlowGuard } from './guard-actions.ts';
import { guardSchema } from './schemas.ts';

const director = { config: { access: 'director' } } as const;
const address = '/c/:club/pace/slow';

/** How far the handicaps of a club follow slowness. */
export const slowGuardRoutes: FastifyPluginAsync = async (app) => {
  const page = async (reply: FastifyReply, form: FormState | null, status = 200) => {
    const { id, slug } = clubOf(reply.request);
    const { on, margin, soft, hard } = await app.db.readClub(id, (tx) => selectSlowGuard(tx, id));
    const percent = (share: number) => String(Math.round(share * 10_000) / 100);
    const typed = { margin: percent(margin), soft: percent(soft), hard: percent(hard) };
    const now = freshForm(on ? { on: 'on', ...typed } : typed);
    return reply.page(SlowGuardPage({ shell: reply.shell(), slug, form: form ?? now }), status);
  };

  app.get(address, director, (_request, reply) => page(reply, null));

  app.post(address, director, async (request, reply) => {
    const read = readForm(guardSchema, request.body);
    if (!read.ok) return page(reply, read.form, 422);
    const { on, margin, soft, hard } = read.values;
    if (hard < soft) return page(reply, withError(read.form, 'hard', t.hardBelowSoft), 422);
    const share = (hundredths: number) => hundredths / 10_000;
    const club = clubOf(request);
    await setSlowGuard(app.db, club.id, { on, margin: share(margin), soft: share(soft), hard: share(hard) });
    return reply.see(urls.inClub(club.slug, 'pace'));
  });
};
