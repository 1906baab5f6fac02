import type { FastifyPluginAsync, FastifyRequest } from 'fastify';
import { GonePage, SharePage } from '../../views/share.tsx';
import { shares as t } from '../../views/texts/en/shares.ts';
import { Refusal } from '../errors.ts';
import { todayIn } from '../plugins/club.ts';
import { codesOf } from '../profiles/exchange/codes.ts';
import { picturesOf } from '../profiles/pictures.ts';
import { sendProfile } from './file-answer.ts';
import { selectOptionalOpenLink } from './received-store.ts';

const everyone = { config: { access: 'everyone' } } as const;

/** A shared profile, for anyone who has its link, as long as its owner lets it be read. */
export const publicShareRoutes: FastifyPluginAsync = async (app) => {
  const codeOf = (request: FastifyRequest) => (request.params as { code: string }).code;
  const today = todayIn(app);

  app.get('/s/:code', everyone, async (request, reply) => {
    const code = codeOf(request);
    const found = await selectOptionalOpenLink(app.db, code, today);
    const shell = reply.shell();
    if (!found) return reply.page(GonePage({ shell }), 404);
    const { share: copy, club } = found;
    const pictures = picturesOf(copy.setup, null);
    return reply.page(SharePage({ shell, slug: club.slug, code, copy, pictures, codes: codesOf(copy.setup) }));
  });

  app.get('/s/:code/profile.json', everyone, async (request, reply) => {
    const found = await selectOptionalOpenLink(app.db, codeOf(request), today);
    if (!found) throw new Refusal('notFound', t.shown.gone);
    return sendProfile(reply, found.share.setup);
  });
};
