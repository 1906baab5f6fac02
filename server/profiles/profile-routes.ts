import type { FastifyPluginAsync, FastifyReply } from 'fastify';
import { ProfilePage } from '../../views/profile.tsx';
import { profiles as t } from '../../views/texts/en/profiles.ts';
import { urls } from '../../views/urls.ts';
import { Refusal } from '../errors.ts';
import { ensureFit } from '../pace/fit-desk.ts';
import { idOf, todayIn } from '../plugins/club.ts';
import { readForm } from '../plugins/forms.ts';
import { type FormState, withError } from '../shared/form.ts';
import { archiveProfile, chooseVersion, dropChoice, saveVersion } from './actions.ts';
import { editorForm } from './editor-form.ts';
import { editorSchema } from './editor-schema.ts';
import { codesOf } from './exchange/codes.ts';
import { authorOf, keptProfile, own } from './kept-profile.ts';
import { underLimit } from './model/limit.ts';
import type { Profile } from './model/profile.ts';
import { motorPart } from './motor-part-routes.ts';
import { selectProfilePage } from './page-store.ts';
import { picturesOf } from './pictures.ts';
import { choiceSchema, saveSchema, versionField } from './schemas.ts';

const base = '/c/:club/profiles/:profile';

/** The page of a profile, and what its forms do. */
export const profilePageRoutes: FastifyPluginAsync = async (app) => {
  /**
   * @param typed a form that was not carried out, with what it would have made where that can be told
   */
  const page = async (reply: FastifyReply, typed: { form: FormState; setup: Profile | null } | null, status = 200) => {
    const { club, profile } = await keptProfile(app, reply.request);
    const today = todayIn(app)(club.zone);
    const { fitted, ...found } = await app.db.readClub(club.id, (tx) => selectProfilePage(tx, club.id, profile, today));
    // Begins in the background: the next look has it.
    if (!fitted) await ensureFit(app, club.id);
    const { setup } = profile;
    const held = found.limit && underLimit(setup, found.limit.permille);
    const motor = await motorPart(app, reply.request, club, {
      carId: profile.carId,
      setup: typed?.setup ?? setup,
      over: typed?.setup ? { version: profile.latest, setup } : (found.versions[1] ?? null),
    });
    return reply.page(
      ProfilePage({
        shell: reply.shell(),
        slug: club.slug,
        zone: club.zone,
        profile,
        ...found,
        held: found.limit && held && held !== setup ? { limit: found.limit, own: setup, held } : null,
        form: typed?.form ?? editorForm(setup),
        savedForm: editorForm(setup),
        pictures: picturesOf(typed?.setup ?? setup, typed?.setup ? setup : null, null),
        motor,
        codes: codesOf(setup),
        justSaved: savedIn(reply.request.query, profile.latest),
      }),
      status,
    );
  };

  app.get(base, own, async (_request, reply) => page(reply, null));

  app.post(base, own, async (request, reply) => {
    const { club, profile } = await keptProfile(app, request);
    const setup = readForm(editorSchema, request.body);
    if (!setup.ok) return page(reply, { form: setup.form, setup: null }, 422);
    const more = readForm(saveSchema, request.body);
    if (!more.ok) return page(reply, { form: more.form, setup: setup.values }, 422);
    const { note, version } = more.values;
    const fresh = { setup: setup.values, note, author: authorOf(request), origin: null };
    const saved = await saveVersion(app.db, club.id, profile.id, fresh, version);
    if (saved === null) throw new Refusal('notFound');
    if ('conflict' in saved) {
      const form = withError(setup.form, '', t.save.conflict(saved.conflict));
      return page(reply, { form, setup: setup.values }, 409);
    }
    return reply.see(`${urls.profile(club.slug, profile.id)}?saved=${saved.version}`);
  });

  app.post(`${base}/choices`, own, async (request, reply) => {
    const { club, profile } = await keptProfile(app, request);
    const read = readForm(choiceSchema, request.body);
    if (!read.ok || !(await chooseVersion(app.db, club.id, profile.id, read.values))) {
      throw new Refusal('malformed', profile.archivedAt === null ? undefined : t.dialled.elsewhere);
    }
    return reply.see(`${urls.profile(club.slug, profile.id)}#dial`);
  });

  app.post(`${base}/choices/:choice/drop`, own, async (request, reply) => {
    const { club, profile } = await keptProfile(app, request);
    await dropChoice(app.db, club.id, profile.id, idOf(request, 'choice'));
    return reply.see(`${urls.profile(club.slug, profile.id)}#dial`);
  });

  for (const what of ['archive', 'restore'] as const) {
    app.post(`${base}/${what}`, own, async (request, reply) => {
      const { club, profile } = await keptProfile(app, request);
      await archiveProfile(app.db, club.id, profile.id, what === 'archive');
      return reply.see(urls.driver(club.slug, profile.driverId, 'profiles'));
    });
  }
};

/** The number of the version that was just saved, if the address says so truly. */
function savedIn(query: unknown, latest: number): number | null {
  const read = versionField.safeParse((query as { saved?: unknown }).saved);
  return read.success && read.data === latest ? latest : null;
}
