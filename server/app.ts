import Fastify, { type FastifyInstance, type FastifyReply } from 'fastify';
import type { Database } from '../db/client.ts';
import { peopleRoutes } from './accounts/people-routes.ts';
import { accountRoutes } from './accounts/routes.ts';
import { archiveRoutes } from './archive/routes.ts';
import type { Clock } from './clock.ts';
import { clubRoutes } from './clubs/routes.ts';
import type { Config } from './config.ts';
import { carRoutes } from './drivers/cars-routes.ts';
import { classRoutes } from './drivers/classes-routes.ts';
import { driverRoutes } from './drivers/routes.ts';
import { Refusal } from './errors.ts';
import { slowGuardRoutes } from './handicap/guard-routes.ts';
import { handicaps } from './handicap/planning-plugin.ts';
import { promiseRoutes } from './handicap/promise-routes.ts';
import { resetRoutes } from './handicap/reset-routes.ts';
import { handicapRoutes } from './handicap/routes.ts';
import { helpRoutes } from './help/routes.ts';
import { live } from './live/plugin.ts';
import { errorForLog, requestForLog } from './logging.ts';
import { entryRoutes } from './meetings/entry-routes.ts';
import { joinRoutes } from './meetings/join-routes.ts';
import { raceRoutes } from './meetings/race-routes.ts';
import { meetingRoutes } from './meetings/routes.ts';
import { selfRoutes } from './meetings/self-routes.ts';
import { cardRoutes } from './night/card-routes.ts';
import { controlRoutes } from './night/control-routes.ts';
import { recounting } from './night/recount-plugin.ts';
import { timekeeperRoutes } from './night/timekeeper-routes.ts';
import { wallRoutes } from './night/wall-routes.ts';
import { watches } from './night/watch.ts';
import { paceDriverRoutes } from './pace/driver-routes.ts';
import { fits } from './pace/fits-plugin.ts';
import { paceImportRoutes } from './pace/import-routes.ts';
import { paceLaneRoutes } from './pace/lane-routes.ts';
import { paceRoutes } from './pace/routes.ts';
import { assets } from './plugins/assets.ts';
import { club } from './plugins/club.ts';
import { csrf } from './plugins/csrf.ts';
import { database } from './plugins/database.ts';
import { failures } from './plugins/failures.ts';
import { formLimitBytes, forms } from './plugins/forms.ts';
import { health } from './plugins/health.ts';
import { links } from './plugins/links.ts';
import { pages } from './plugins/pages.ts';
import { security } from './plugins/security.ts';
import { session } from './plugins/session.ts';
import { longWork } from './plugins/work.ts';
import { profileRoutes } from './profiles/routes.ts';
import { publicResultRoutes } from './results/public-routes.ts';
import { resultRoutes } from './results/routes.ts';
import { draftRoutes } from './rotation/draft-routes.ts';
import { rotationRoutes } from './rotation/routes.ts';
import { sampleRoutes } from './sample/routes.ts';
import { shareRoutes } from './shares/routes.ts';
import { deviceRoutes } from './timing/device-routes.ts';
import { timingRoutes } from './timing/routes.ts';
import { tonightRoutes } from './tonight/routes.ts';
import { trackRoutes } from './tracks/routes.ts';
import { unitRoutes } from './units/routes.ts';
import { workInSlices } from './work/in-slices.ts';
import type { Work } from './work/work.ts';
import { workbenchRoutes } from './workbench/routes.ts';

/**
 * What the program is made of, in order: plugins first, then one line a feature. Never listens.
 *
 * @param parts.work where long work runs; in slices on the event loop if not given, as threads run built code only
 */
export async function buildApp(parts: {
  config: Config;
  db: Database;
  clock: Clock;
  work?: Work;
}): Promise<FastifyInstance> {
  const app: FastifyInstance = Fastify({
    logger:
      parts.config.logLevel === 'silent'
        ? false
        : { level: parts.config.logLevel, serializers: { req: requestForLog, err: errorForLog } },
    trustProxy: parts.config.trustProxy.length > 0 ? [...parts.config.trustProxy] : false,
    bodyLimit: formLimitBytes,
    requestTimeout: 30_000,
    // A stream that waits for its next frame must not hold back the end of the process.
    keepAliveTimeout: 5_000,
    forceCloseConnections: true,
    routerOptions: { maxParamLength: 500, ignoreTrailingSlash: true },
    // An address that cannot be read, such as /%E0%A4%A, is refused before any hook.
    frameworkErrors(_error, _request, reply: FastifyReply) {
      const { status, sentence } = new Refusal('malformed');
      return reply.headers(app.securityHeaders).code(status).type('text/plain; charset=utf-8').send(sentence);
    },
  });
  await app.register(database, parts);
  await app.register(longWork, { work: parts.work ?? workInSlices() });
  await app.register(security);
  await app.register(club);
  await app.register(session);
  await app.register(csrf);
  await app.register(pages);
  await app.register(failures);
  await app.register(forms);
  await app.register(assets);
  await app.register(health);
  await app.register(watches);
  await app.register(recounting);
  await app.register(fits);
  await app.register(handicaps);
  await app.register(links);
  await app.register(live);

  await app.register(helpRoutes);
  await app.register(clubRoutes);
  await app.register(accountRoutes);
  await app.register(peopleRoutes);
  await app.register(trackRoutes);
  await app.register(timingRoutes);
  await app.register(deviceRoutes);
  await app.register(driverRoutes);
  await app.register(classRoutes);
  await app.register(carRoutes);
  await app.register(meetingRoutes);
  await app.register(raceRoutes);
  await app.register(entryRoutes);
  await app.register(joinRoutes);
  await app.register(selfRoutes);
  await app.register(paceRoutes);
  await app.register(paceImportRoutes);
  await app.register(paceDriverRoutes);
  await app.register(paceLaneRoutes);
  await app.register(rotationRoutes);
  await app.register(draftRoutes);
  await app.register(handicapRoutes);
  await app.register(resetRoutes);
  await app.register(tonightRoutes);
  await app.register(resultRoutes);
  await app.register(publicResultRoutes);
  await app.register(promiseRoutes);
  await app.register(slowGuardRoutes);
  await app.register(profileRoutes);
  await app.register(controlRoutes);
  await app.register(timekeeperRoutes);
  await app.register(wallRoutes);
  await app.register(cardRoutes);
  await app.register(archiveRoutes);
  await app.register(shareRoutes);
  await app.register(unitRoutes);
  await app.register(workbenchRoutes);
  await app.register(sampleRoutes);
  return app;
}
