import type { FastifyPluginAsync, FastifyReply, FastifyRequest } from 'fastify';
import { lookOf } from '../../views/night-lanes.ts';
import { clubLinks } from '../../views/result-links.ts';
import { textParts } from '../../views/result-text.ts';
import { type Publishing, ResultsPage } from '../../views/results.tsx';
import { results as t } from '../../views/texts/en/results.ts';
import { urls } from '../../views/urls.ts';
import { may } from '../accounts/roles.ts';
import { Refusal } from '../errors.ts';
import { clubOf, idOf } from '../plugins/club.ts';
import { presentMeeting } from './presented.ts';
import { addResultRoutes, type ShownResults } from './result-routes.ts';
import { selectOptionalResults } from './results-store.ts';
import { textResult } from './text-result.ts';

const prefix = '/c/:club/meetings/:meeting';

/** Results of a meeting for everybody on the club's network. */
export const resultRoutes: FastifyPluginAsync = async (app) => {
  const read = async (
    request: FastifyRequest,
    reply: FastifyReply,
  ): Promise<ShownResults & { publishing: Publishing }> => {
    const { id: clubId, slug } = clubOf(request);
    const meetingId = idOf(request, 'meeting');
    const found = await app.db.readClub(clubId, (tx) => selectOptionalResults(tx, clubId, meetingId));
    if (!found) throw new Refusal('notFound');
    const { stored, lanes, nextDate } = found;
    const shell = reply.shell();
    const role = request.visitor?.role ?? null;
    const presented = presentMeeting(found, stored.facts);
    const { published, publicCode } = stored.meeting;
    const address = reply.linkTo(urls.publicResults(publicCode));
    const parts = textParts({ ...presented, lang: shell.lang, address: published ? address : null, nextDate });
    return {
      shell,
      cacheControl: 'no-store',
      data: {
        ...presented,
        lookOf: (lane) => lookOf({ lanes }, lane),
        links: clubLinks(slug, meetingId, may(role, 'timing')),
        text: textResult(parts),
      },
      publishing: {
        published,
        address,
        director: may(role, 'director')
          ? { action: urls.meeting(slug, meetingId, 'publish'), meetingPage: urls.meeting(slug, meetingId) }
          : null,
      },
    };
  };

  /** Heats that a director may want to look at again, as people number them. */
  const surprisesIn = async (request: FastifyRequest, { races }: ShownResults['data']['report']) => {
    const states = new Map(races.flatMap(({ heats }) => heats.map(({ heat, state }) => [heat.id, state] as const)));
    const found = await app.handicaps.surprising(clubOf(request).id, idOf(request, 'meeting'), states);
    return races.flatMap(({ race, heats }) =>
      heats.filter(({ heat }) => found.has(heat.id)).map(({ number }) => ({ race: race.name, number })),
    );
  };

  app.get(`${prefix}/results`, { config: { access: 'everyone' } }, async (request, reply) => {
    const { data, shell, publishing } = await read(request, reply);
    const { imported } = request.query as { imported?: string };
    const surprises = may(request.visitor?.role ?? null, 'director') ? await surprisesIn(request, data.report) : [];
    const done = imported ? importedWords(data.report) : null;
    return reply.page(ResultsPage({ ...data, shell, publishing, done, surprises }));
  });

  addResultRoutes(app, prefix, read);
};

/** What an imported meeting brought, said on the page it leads to. */
function importedWords({ races }: ShownResults['data']['report']): string {
  const entries = races.reduce((sum, { standing }) => sum + standing.rows.length, 0);
  const heats = races.reduce((sum, race) => sum + race.heats.length, 0);
  return t.imported(races.length, entries, heats);
}
