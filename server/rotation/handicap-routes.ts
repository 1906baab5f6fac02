import type { FastifyPluginAsync, FastifyReply, FastifyRequest } from 'fastify';
import { HandicapPage } from '../../views/handicap.tsx';
import { urls } from '../../views/urls.ts';
import { Refusal } from '../errors.ts';
import { clubOf, idOf, logIdOf } from '../plugins/club.ts';
import { readForm } from '../plugins/forms.ts';
import { type FormState, freshForm } from '../shared/form.ts';
import { type RaceKey, readRacePlan } from './actions.ts';
import { setDelays } from './handicap-actions.ts';
import { delayField, handicapSchema } from './schemas.ts';

const director = { config: { access: 'director' } } as const;
const address = '/c/:club/meetings/:meeting/races/:race/handicap';

/** Handicap starts: how long after the others a driver starts. */
export const handicapRoutes: FastifyPluginAsync = async (app) => {
  const keyOf = (request: FastifyRequest): RaceKey => ({
    clubId: clubOf(request).id,
    meetingId: idOf(request, 'meeting'),
    raceId: logIdOf(request, 'race'),
  });

  const planOf = async (request: FastifyRequest) => {
    const { clubId, meetingId, raceId } = keyOf(request);
    const plan = await app.db.readClub(clubId, (tx) => readRacePlan(tx, clubId, meetingId, raceId));
    if (!plan) throw new Refusal('notFound');
    return plan;
  };

  const page = async (reply: FastifyReply, form: FormState | null, status = 200) => {
    const plan = await planOf(reply.request);
    const typed = Object.fromEntries(plan.entries.map((e, i) => [delayField(i), String(e.delayMs / 1000)]));
    const props = {
      shell: reply.shell(),
      slug: clubOf(reply.request).slug,
      form: form ?? freshForm(typed),
      delayField,
    };
    return reply.page(HandicapPage({ ...props, ...plan }), status);
  };

  app.get(address, director, (_request, reply) => page(reply, null));

  app.post(address, director, async (request, reply) => {
    const { entries } = await planOf(request);
    const read = readForm(handicapSchema(entries.length), request.body);
    if (!read.ok) return page(reply, read.form, 422);
    const delays = new Map(entries.map(({ id }, i) => [id, read.values[delayField(i)] ?? 0]));
    const key = keyOf(request);
    await setDelays(app.db, key, delays);
    return reply.see(urls.race(clubOf(request).slug, key.meetingId, key.raceId, 'rotation'));
  });
};
