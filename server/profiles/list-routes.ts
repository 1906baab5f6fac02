import type { FastifyPluginAsync, FastifyReply } from 'fastify';
import { NewProfilePage, ProfilesPage } from '../../views/profiles.tsx';
import { profiles as t } from '../../views/texts/en/profiles.ts';
import { urls } from '../../views/urls.ts';
import { once } from '../accounts/once-desk.ts';
import { clubOf } from '../plugins/club.ts';
import { readForm } from '../plugins/forms.ts';
import { type FormState, withError } from '../shared/form.ts';
import { addProfile } from './actions.ts';
import { selectChoices } from './choices-store.ts';
import { editorForm } from './editor-form.ts';
import { editorSchema } from './editor-schema.ts';
import { authorOf, keptDriver, madeAt, notCreatedSentence, own } from './kept-profile.ts';
import { defaultTuning } from './model/profile.ts';
import { selectPlaces } from './page-store.ts';
import { picturesOf, thumbOf } from './pictures.ts';
import { placeSchema } from './schemas.ts';
import { selectProfiles } from './store.ts';

/** The list of a driver's profiles, and new ones. */
export const profileListRoutes: FastifyPluginAsync = async (app) => {
  /** A short way: drivers to their own list, a director to the drivers. */
  app.get('/c/:club/profiles', own, async (request, reply) => {
    const { slug } = clubOf(request);
    const driverId = request.visitor?.driverId ?? null;
    const list = driverId === null ? urls.inClub(slug, 'drivers') : urls.driver(slug, driverId, 'profiles');
    return reply.redirect(list, 302);
  });

  app.get('/c/:club/drivers/:driver/profiles', own, async (request, reply) => {
    const { club, driver } = await keptDriver(app, request);
    const found = await app.db.readClub(club.id, async (tx) => ({
      profiles: await selectProfiles(tx, club.id, driver.id, { archived: true }),
      choices: await selectChoices(tx, club.id, driver.id),
    }));
    const profiles = found.profiles.map((one) => ({ ...one, thumb: thumbOf(one.setup) }));
    const { choices } = found;
    return reply.page(
      ProfilesPage({ shell: reply.shell(), slug: club.slug, zone: club.zone, driver, profiles, choices }),
    );
  });

  const newPage = async (reply: FastifyReply, form: FormState, status = 200) => {
    const { club, driver } = await keptDriver(app, reply.request);
    const places = await app.db.readClub(club.id, (tx) => selectPlaces(tx, club.id, driver.id));
    const pictures = picturesOf({ name: t.fresh.nameDefault, ...defaultTuning }, null);
    const more = { driver, form, pictures, ...places };
    return reply.page(NewProfilePage({ shell: reply.shell(), slug: club.slug, ...more }), status);
  };

  app.get('/c/:club/drivers/:driver/profiles/new', own, async (_request, reply) =>
    newPage(reply, editorForm({ name: t.fresh.nameDefault, ...defaultTuning })),
  );

  app.post('/c/:club/drivers/:driver/profiles/new', own, async (request, reply) => {
    const { club, driver } = await keptDriver(app, request);
    const setup = readForm(editorSchema, request.body);
    if (!setup.ok) return newPage(reply, setup.form, 422);
    const place = readForm(placeSchema, request.body);
    if (!place.ok) return newPage(reply, place.form, 422);
    const done = await once(app, request, async (tx) => {
      const fresh = { setup: setup.values, note: '', author: authorOf(request), origin: null };
      return madeAt(club.slug, await addProfile(tx, club.id, { driverId: driver.id, ...place.values, ...fresh }));
    });
    if (typeof done === 'string') return reply.see(done);
    return newPage(reply, withError(setup.form, '', notCreatedSentence(done.refused)), 422);
  });
};
