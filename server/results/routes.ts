import type { FastifyPluginAsync } from 'fastify';
import { Refusal } from '../errors.ts';
import { clubOf, idOf } from '../plugins/club.ts';
import { countMeeting } from './count.ts';
import { resultsJson } from './results-json.ts';
import { selectOptionalStoredMeeting } from './store.ts';

export const resultRoutes: FastifyPluginAsync = async (app) => {
  app.get('/c/:club/meetings/:meeting/results.json', { config: { access: 'everyone' } }, async (request, reply) => {
    const clubId = clubOf(request).id;
    const stored = await app.db.readClub(clubId, (tx) =>
      selectOptionalStoredMeeting(tx, clubId, idOf(request, 'meeting')),
    );
    if (!stored) throw new Refusal('notFound');
    return reply.type('application/json; charset=utf-8').send(resultsJson(countMeeting(stored.facts).races));
  });
};
