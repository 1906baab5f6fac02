import type { FastifyPluginAsync } from 'fastify';
import { defaultLook } from '../../views/components/lane-defaults.ts';
import { laneLook } from '../../views/lane-look.ts';
import { LanesPage } from '../../views/pace-lanes.tsx';
import { clubOf } from '../plugins/club.ts';
import { selectLanes, selectTracks } from '../tracks/store.ts';
import { compareLanes } from './lane-comparison.ts';
import { selectOptionalLatestFit } from './pace-store.ts';

/** Lanes compared, for everybody. */
export const paceLaneRoutes: FastifyPluginAsync = async (app) => {
  app.get('/c/:club/pace/lanes', { config: { access: 'everyone' } }, async (request, reply) => {
    const club = clubOf(request);
    const tracks = await app.db.readClub(club.id, async (tx) => {
      const fit = (await selectOptionalLatestFit(tx, club.id))?.fit;
      if (!fit) return null;
      const known = new Map((await selectTracks(tx, club.id, { imported: true })).map((one) => [one.id, one]));
      const named = [];
      for (const compared of compareLanes(fit)) {
        const track = known.get(compared.track);
        const lanes = track ? await selectLanes(tx, club.id, track.id) : [];
        const looks = new Map(compared.lanes.map(({ lane }) => [lane, defaultLook(lane)]));
        for (const lane of lanes) looks.set(lane.number, laneLook(lane));
        // A track that an import brought has no row: it is known by its name.
        named.push({ name: track?.name ?? compared.track, compared, looks });
      }
      return named;
    });
    return reply.page(LanesPage({ shell: reply.shell(), slug: club.slug, tracks }));
  });
};
