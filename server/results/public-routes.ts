import type { FastifyPluginAsync, FastifyReply, FastifyRequest } from 'fastify';
import { renderPage } from '../../views/html.ts';
import type { Shell } from '../../views/layout.tsx';
import { lookOf } from '../../views/night-lanes.ts';
import { PublicResultsPage } from '../../views/public-results.tsx';
import { publicLinks } from '../../views/result-links.ts';
import { textParts } from '../../views/result-text.ts';
import { drivers as driverWords } from '../../views/texts/en/drivers.ts';
import { results as t } from '../../views/texts/en/results.ts';
import { urls } from '../../views/urls.ts';
import { selectOptionalClubById } from '../clubs/store.ts';
import { Refusal } from '../errors.ts';
import { type Meeting, selectOptionalMeetingByPublicCode } from '../meetings/store.ts';
import { BriefCache } from '../shared/brief-cache.ts';
import { presentMeeting } from './presented.ts';
import { publicFacts } from './public-facts.ts';
import { addResultRoutes, type ShownResults } from './result-routes.ts';
import { selectOptionalResults, selectPrivateNumbers } from './results-store.ts';
import { textResult } from './text-result.ts';

/** A whole hall opens the same page when it is shown: it is drawn once a second. */
const keepUs = 1_000_000;
const cacheControl = 'public, max-age=1';

/** Results for whoever has their address, as long as the director lets them be public. */
export const publicResultRoutes: FastifyPluginAsync = async (app) => {
  const shown = new BriefCache<ShownResults & { address: string }>(keepUs);
  const pages = new BriefCache<string>(keepUs);

  const load = async (meeting: Meeting, address: string): Promise<ShownResults & { address: string }> => {
    const { clubId, id, publicCode: code } = meeting;
    const club = await selectOptionalClubById(app.db, clubId);
    const found = await app.db.readClub(clubId, async (tx) => {
      const results = await selectOptionalResults(tx, clubId, id);
      return results && { ...results, hidden: await selectPrivateNumbers(tx, results.stored) };
    });
    if (!found || !club) throw new Refusal('notFound', t.notPublished);
    const { stored, lanes, hidden, nextDate } = found;
    const facts = publicFacts(stored.facts, (driver) => {
      const number = hidden.get(driver);
      return number === undefined ? null : driverWords.hiddenName(number);
    });
    const presented = presentMeeting(found, facts);
    const links = publicLinks(code);
    const shell: Shell = {
      clubName: club.name,
      home: links.results,
      role: null,
      // A page that caches keep carries nobody's token.
      csrf: null,
      commandId: null,
      path: links.results,
      theme: 'auto',
      lang: 'en',
      navigation: [],
    };
    const text = textResult(textParts({ ...presented, lang: shell.lang, address, nextDate }));
    return {
      shell,
      cacheControl,
      address,
      data: { ...presented, lookOf: (lane) => lookOf({ lanes }, lane), links, text },
    };
  };

  const find = async (request: FastifyRequest, reply: FastifyReply) => {
    const { code } = request.params as { code: string };
    const meeting = await selectOptionalMeetingByPublicCode(app.db, code);
    if (!meeting?.published) throw new Refusal('notFound', t.notPublished);
    // The page shows its own address, which depends on the name it was opened by.
    const address = reply.linkTo(urls.publicResults(code));
    return { meeting, address, key: JSON.stringify([code, address]) };
  };

  const read = async (request: FastifyRequest, reply: FastifyReply) => {
    const { meeting, address, key } = await find(request, reply);
    return shown.get(key, app.clock.nowUs(), () => load(meeting, address));
  };

  app.get('/r/:code', { config: { access: 'everyone' } }, async (request, reply) => {
    const { meeting, address, key } = await find(request, reply);
    const page = await pages.get(key, app.clock.nowUs(), async () => {
      const results = await shown.get(key, app.clock.nowUs(), () => load(meeting, address));
      return renderPage(PublicResultsPage({ ...results.data, shell: results.shell, address }));
    });
    return reply.type('text/html; charset=utf-8').header('cache-control', cacheControl).send(page);
  });

  addResultRoutes(app, '/r/:code', read);
};
