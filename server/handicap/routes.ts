import type { FastifyPluginAsync, FastifyReply, FastifyRequest } from 'fastify';
import { HandicapPage } from '../../views/handicap.tsx';
import { urls } from '../../views/urls.ts';
import { Refusal } from '../errors.ts';
import { clubOf, idOf, logIdOf } from '../plugins/club.ts';
import { readForm } from '../plugins/forms.ts';
import { type RaceKey, type RacePlan, readRacePlan } from '../rotation/actions.ts';
import { type FormState, freshForm } from '../shared/form.ts';
import { setHandicap } from './actions.ts';
import { readNightPlan } from './night-plan-store.ts';
import { amountField, byHandField, settingsSchema } from './schemas.ts';
import { type HandicapView, handicapView } from './settings-view.ts';

const director = { config: { access: 'director' } } as const;
const address = '/c/:club/meetings/:meeting/races/:race/handicap';
/** To begin with everybody has the same chance: that is what a handicap is for. */
const usualDial = 100;

/** How a race evens out chances: settings, and what they come to. */
export const handicapRoutes: FastifyPluginAsync = async (app) => {
  const keyOf = (request: FastifyRequest): RaceKey => ({
    clubId: clubOf(request).id,
    meetingId: idOf(request, 'meeting'),
    raceId: logIdOf(request, 'race'),
  });

  const read = async (request: FastifyRequest): Promise<{ plan: RacePlan; view: HandicapView }> => {
    const { clubId, meetingId, raceId } = keyOf(request);
    return app.db.readClub(clubId, async (tx) => {
      const plan = await readRacePlan(tx, clubId, meetingId, raceId);
      if (!plan) throw new Refusal('notFound');
      return { plan, view: handicapView(plan, await readNightPlan(tx, clubId, meetingId)) };
    });
  };

  const page = async (reply: FastifyReply, form: FormState | null, status = 200) => {
    const { request } = reply;
    const { plan, view } = await read(request);
    const { slug, id } = clubOf(request);
    app.handicaps.look(id, plan.meeting.id);
    const shown = form ?? freshForm(typedSettings(plan));
    const fields = { byHand: byHandField, amount: amountField };
    return reply.page(HandicapPage({ shell: reply.shell(), slug, plan, view, form: shown, fields }), status);
  };

  app.get(address, director, (_request, reply) => page(reply, null));

  app.post(address, director, async (request, reply) => {
    const { plan } = await read(request);
    const form = readForm(settingsSchema(plan.entries.length, plan.race.format), request.body);
    if (!form.ok) return page(reply, form.form, 422);
    const { handicap, byHand } = form.values;
    const amounts = new Map(plan.entries.map(({ id }, i) => [id, byHand[i] ?? null]));
    const key = keyOf(request);
    await setHandicap(app.db, key, handicap, amounts);
    return reply.see(urls.race(clubOf(request).slug, key.meetingId, key.raceId, 'handicap'));
  });
};

/** The form as the race has it. Delays from before there were modes are delays by hand. */
function typedSettings({ race, entries }: RacePlan): FormState['typed'] {
  const old = race.handicap === null && entries.some(({ delayMs }) => delayMs > 0);
  const { mode, dial, capMs, roundMs } = race.handicap ?? {
    mode: old ? 'delay' : 'off',
    dial: usualDial,
    capMs: null,
    roundMs: 100,
  };
  const perUnit = mode === 'credit' && race.format !== 'laps' ? 100 : 1000;
  const typed: Record<string, string> = {
    mode,
    dial: String(dial),
    cap: capMs === null ? '' : String(capMs / 1000),
    round: String(roundMs / 1000),
  };
  for (const [i, { handicapByHand, delayMs, credit }] of entries.entries()) {
    const amount = mode === 'credit' ? credit : delayMs;
    if (handicapByHand || (old && amount > 0)) typed[byHandField(i)] = 'on';
    typed[amountField(i)] = handicapByHand || amount > 0 ? String(amount / perUnit) : '';
  }
  return typed;
}
