import type { FastifyPluginAsync, FastifyRequest } from 'fastify';
import { PacePage, PaceRegion, type PaceRegionProps } from '../../views/pace.tsx';
import { pace as t } from '../../views/texts/en/pace.ts';
import { urls } from '../../views/urls.ts';
import { selectClasses } from '../drivers/cars-store.ts';
import { selectDrivers } from '../drivers/store.ts';
import { clubOf } from '../plugins/club.ts';
import { driverStory } from './driver-story.ts';
import { ensureFit } from './fit-desk.ts';
import { selectImports } from './import-store.ts';
import { selectOptionalLatestFit } from './pace-store.ts';

const director = { config: { access: 'director' } } as const;

/** The club's pace page, for the director. */
export const paceRoutes: FastifyPluginAsync = async (app) => {
  const region = async (request: FastifyRequest): Promise<Omit<PaceRegionProps, 'shell'>> => {
    const { id: clubId, slug, zone } = clubOf(request);
    // Asked first: a fit that ends after this is stored, and shown by the poll; one that ended before is the latest.
    const running = app.fits.running(clubId);
    const { latest, drivers, classes } = await app.db.readClub(clubId, async (tx) => ({
      latest: await selectOptionalLatestFit(tx, clubId),
      drivers: await selectDrivers(tx, clubId, { archived: true }),
      classes: await selectClasses(tx, clubId, { archived: true }),
    }));
    const nicknames = new Map(drivers.map(({ id, nickname }) => [id, nickname]));
    const told = (latest?.fit.drivers ?? []).flatMap(({ driver: id }) => {
      const story = latest && driverStory(latest.fit, id);
      return story ? [{ id, nickname: nicknames.get(id) ?? null, story }] : [];
    });
    return {
      slug,
      zone,
      latest,
      running,
      failed: app.fits.failed(clubId),
      drivers: told,
      classes: new Map(classes.map(({ id, name }) => [id, name])),
    };
  };

  app.get('/c/:club/pace', director, async (request, reply) => {
    const clubId = clubOf(request).id;
    await ensureFit(app, clubId);
    const imports = await app.db.readClub(clubId, (tx) => selectImports(tx, clubId));
    const { done } = request.query as { done?: unknown };
    const words = done === 'saved' ? t.saved : done === 'removed' ? t.removed : null;
    const props = await region(request);
    return reply.page(PacePage({ shell: reply.shell(), ...props, imports, done: words }));
  });

  app.get('/c/:club/pace/state', director, async (request, reply) => {
    return reply.fragment(PaceRegion({ shell: reply.shell(), ...(await region(request)) }));
  });

  app.post('/c/:club/pace/again', director, async (request, reply) => {
    const club = clubOf(request);
    app.fits.again(club.id);
    return reply.see(urls.inClub(club.slug, 'pace'));
  });
};
