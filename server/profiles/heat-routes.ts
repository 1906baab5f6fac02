import type { FastifyPluginAsync, FastifyReply, FastifyRequest } from 'fastify';
import { type HeatPlace, ProfileHeatsPage } from '../../views/profile-heats.tsx';
import { profiles as t } from '../../views/texts/en/profiles.ts';
import { urls } from '../../views/urls.ts';
import type { Club } from '../clubs/store.ts';
import { Refusal } from '../errors.ts';
import { readForm } from '../plugins/forms.ts';
import { correctHeat } from './actions.ts';
import { selectDrivenHeats } from './heats-store.ts';
import { keptDriver, keptProfile, own } from './kept-profile.ts';
import { selectVersionNames } from './page-store.ts';
import { placeOfHeatSchema, usedSchema } from './schemas.ts';
import type { KeptProfile } from './store.ts';

/** Heats on one page: a season's worth is looked at in the results. */
const heatsShown = 60;

/** What a driver drove with, heat by heat, and corrections of it. */
export const profileHeatRoutes: FastifyPluginAsync = async (app) => {
  const page = async (
    reply: FastifyReply,
    club: Club,
    driver: { id: string; nickname: string },
    profile: KeptProfile | null,
  ) => {
    const { heats, names } = await app.db.readClub(club.id, async (tx) => ({
      heats: await selectDrivenHeats(tx, club.id, driver.id, heatsShown, profile?.id),
      names: await selectVersionNames(tx, club.id, driver.id),
    }));
    const options = names.map(({ profileId, version, name }) => ({
      value: `${profileId}.${version}`,
      label: t.heats.used(name, version),
    }));
    return reply.page(
      ProfileHeatsPage({
        shell: reply.shell(),
        slug: club.slug,
        driver,
        profile,
        heats,
        options,
        corrected: placeIn(reply.request.query),
        status: wasSaved(reply.request) ? t.heats.saved : undefined,
      }),
    );
  };

  app.get('/c/:club/profiles/:profile/heats', own, async (request, reply) => {
    const { club, profile } = await keptProfile(app, request);
    return page(reply, club, { id: profile.driverId, nickname: profile.driverNickname }, profile);
  });

  app.get('/c/:club/drivers/:driver/profiles/heats', own, async (request, reply) => {
    const { club, driver } = await keptDriver(app, request);
    return page(reply, club, driver, null);
  });

  app.post('/c/:club/drivers/:driver/profiles/heats', own, async (request, reply) => {
    const { club, driver } = await keptDriver(app, request);
    const read = readForm(usedSchema, request.body);
    if (!read.ok) throw new Refusal('malformed');
    const { meeting, heat, lane, used, only } = read.values;
    const key = { clubId: club.id, meetingId: meeting, heatId: heat };
    if (!(await correctHeat(app.db, key, { driverId: driver.id, lane }, used))) throw new Refusal('notFound');
    const list =
      only === null ? urls.driver(club.slug, driver.id, 'profiles/heats') : urls.profile(club.slug, only, 'heats');
    return reply.see(`${list}?saved=1`);
  });
};

/** The heat that somebody is about to correct. */
function placeIn(query: unknown): HeatPlace | null {
  const read = placeOfHeatSchema.safeParse(query);
  if (!read.success) return null;
  const { meeting, heat, lane } = read.data;
  return { meetingId: meeting, heatId: heat, lane };
}

const wasSaved = (request: FastifyRequest) => (request.query as { saved?: unknown }).saved !== undefined;
