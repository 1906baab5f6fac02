import type { FastifyPluginAsync, FastifyReply, FastifyRequest } from 'fastify';
import { isoDay } from '../../views/format.ts';
import { ProgrammePage } from '../../views/programme.tsx';
import { RotationPage } from '../../views/rotation.tsx';
import { rotation as t } from '../../views/texts/en/rotation.ts';
import { readIdField, urls } from '../../views/urls.ts';
import { Refusal } from '../errors.ts';
import { type Entry, type Race, selectEntries, selectOptionalMeeting, selectRaces } from '../meetings/store.ts';
import { clubOf, idOf, logIdOf } from '../plugins/club.ts';
import { readForm } from '../plugins/forms.ts';
import { type FormState, freshForm, withError } from '../shared/form.ts';
import { groupBy } from '../shared/group-by.ts';
import { lanesOf, type RaceKey, type RacePlan, seatsOf } from './actions.ts';
import { isAsDrawn, withDrawnVerdicts } from './as-drawn.ts';
import { addHeat, moveHeatOnPlan, removeHeat, stepHeatOnPlan, swapOnPlan } from './change-actions.ts';
import { lanesOfNight, openDrawDesk } from './draw-desk.ts';
import { drawFormView, longestHeatMs } from './draw-form.ts';
import type { DrawRecord } from './draws-store.ts';
import { heatBlocks } from './heat-groups.ts';
import { stageHeats } from './heat-stage.ts';
import { heatTimes, nightLine } from './night-line.ts';
import { changeoverMs, planFairness, planLengthMs } from './plan-fairness.ts';
import type { ReorderRefusal } from './reorder.ts';
import { addLaneField, addSchema, moveSchema, removeSchema, stepSchema, swapSchema } from './schemas.ts';
import { type StagedHeat, selectHeatMarks, selectHeatPlans } from './store.ts';

const director = { config: { access: 'director' } } as const;

export const rotationRoutes: FastifyPluginAsync = async (app) => {
  const keyOf = (request: FastifyRequest): RaceKey => ({
    clubId: clubOf(request).id,
    meetingId: idOf(request, 'meeting'),
    raceId: logIdOf(request, 'race'),
  });

  /** The page of a race's rotation; after a refused change as the plan now is. */
  const page = async (reply: FastifyReply, answer: { form?: FormState; refused?: string; status?: number } = {}) => {
    const { request } = reply;
    const desk = await openDrawDesk(app.db, keyOf(request));
    const { plan, lanes, last: drawn } = desk;
    const { driver } = request.query as { driver?: string };
    const only = typeof driver === 'string' ? readIdField(driver) : null;
    const shell = reply.shell();
    const now = new Date(app.clock.nowUs() / 1000);
    const props = {
      shell,
      slug: clubOf(request).slug,
      ...plan,
      lanes,
      ...fairnessOf(plan, drawn),
      ...picturesOf(plan, now),
      clock: { now, zone: plan.meeting.zone, locale: shell.lang },
      drawn,
      drawnHref:
        drawn && urls.race(clubOf(request).slug, plan.meeting.id, plan.race.id, `rotation/draws/${drawn.n}.json`),
      draw: drawFormView(desk),
      only: plan.entries.find((entry) => entry.id === only) ?? null,
      form: answer.form ?? freshForm(),
      addLaneField,
      refused: answer.refused ?? null,
    };
    return reply.page(RotationPage(props), answer.status ?? 200);
  };

  const back = (reply: FastifyReply) => {
    const { meetingId, raceId } = keyOf(reply.request);
    return reply.see(urls.race(clubOf(reply.request).slug, meetingId, raceId, 'rotation'));
  };
  const answerTo = (reply: FastifyReply, changed: 'done' | { refused: ReorderRefusal | 'started' }) =>
    changed === 'done' ? back(reply) : page(reply, { refused: t.refused[changed.refused], status: 409 });

  const address = '/c/:club/meetings/:meeting/races/:race/rotation';
  app.get(address, director, (_request, reply) => page(reply));

  app.post(`${address}/step`, director, async (request, reply) => {
    const read = readForm(stepSchema, request.body);
    if (!read.ok) return page(reply, { form: read.form, status: 422 });
    const { heat, by } = read.values;
    return answerTo(reply, await stepHeatOnPlan(app.db, keyOf(request), heat, by === 'earlier' ? -1 : 1));
  });

  app.post(`${address}/move`, director, async (request, reply) => {
    const read = readForm(moveSchema, request.body);
    if (!read.ok) return page(reply, { form: read.form, status: 422 });
    return answerTo(reply, await moveHeatOnPlan(app.db, keyOf(request), read.values.heat, read.values.to));
  });

  app.post(`${address}/swap`, director, async (request, reply) => {
    const read = readForm(swapSchema, request.body);
    if (!read.ok) return page(reply, { form: read.form, status: 422 });
    return answerTo(reply, await swapOnPlan(app.db, keyOf(request), read.values.first, read.values.second));
  });

  app.post(`${address}/remove`, director, async (request, reply) => {
    const read = readForm(removeSchema, request.body);
    if (!read.ok) return page(reply, { form: read.form, status: 422 });
    return answerTo(reply, await removeHeat(app.db, keyOf(request), read.values.heat));
  });

  app.post(`${address}/add`, director, async (request, reply) => {
    const { plan, lanes } = await openDrawDesk(app.db, keyOf(request));
    const read = readForm(addSchema(lanes.map((lane) => lane.number)), request.body);
    if (!read.ok) return page(reply, { form: read.form, status: 422 });
    const added = await addHeat(app.db, keyOf(request), read.values);
    if (added === 'done') return back(reply);
    if (added === 'plan changed') return page(reply, { refused: t.refused.planChanged, status: 409 });
    return page(reply, { form: withError(read.form, '', tooManyRuns(plan.race, added.tooManyRuns)), status: 422 });
  });

  app.get('/c/:club/meetings/:meeting/programme', { config: { access: 'everyone' } }, async (request, reply) => {
    const club = clubOf(request);
    const meetingId = idOf(request, 'meeting');
    const found = await app.db.readClub(club.id, async (tx) => {
      const meeting = await selectOptionalMeeting(tx, club.id, meetingId);
      if (!meeting) return null;
      const entries = await selectEntries(tx, club.id, meetingId);
      const plans = await selectHeatPlans(tx, club.id, meetingId);
      const heats = stageHeats(plans, await selectHeatMarks(tx, club.id, meetingId));
      const races = await selectRaces(tx, club.id, meetingId);
      return {
        meeting,
        races: races.map((race) => ({ ...race, blocks: blocksOf(race.id, heats, entries) })),
        entries,
        heats,
        lanes: await lanesOfNight(tx, meeting),
      };
    });
    if (!found) throw new Refusal('notFound');
    return reply.page(ProgrammePage({ shell: reply.shell(), slug: club.slug, ...found }));
  });
};

const tooManyRuns = (race: Race, given: number) => t.tooManyRuns(given, race.heatsPerEntry ?? given);

/** The heats of a race in neighbours of one group. */
function blocksOf(raceId: string, heats: readonly StagedHeat[], entries: readonly Entry[]) {
  const groupOf = new Map(entries.map((entry) => [entry.id, entry.groupNo]));
  const own = heats.filter((heat) => heat.raceId === raceId);
  return heatBlocks(own, (entryId) => groupOf.get(entryId) ?? null);
}

/** What the pictures of a plan show. */
function picturesOf({ meeting, race, entries, heats }: RacePlan, now: Date) {
  const lanes = lanesOf(meeting);
  const shown = heats.map((heat) => ({ seats: seatsOf(heat, lanes), marshals: heat.marshals }));
  const onPlan = new Set(shown.flatMap(({ seats, marshals }) => [...seats, ...marshals]));
  const drivers = entries.filter((entry) => entry.withdrawnAt === null || onPlan.has(entry.id));
  const stages = heats.map((heat) => heat.stage);
  const times = heatTimes(stages, planLengthMs(1, longestHeatMs(race)), changeoverMs);
  return {
    blocks: blocksOf(race.id, heats, entries),
    night: nightLine(
      drivers.map((entry) => entry.id),
      shown,
      race.marshals,
    ),
    // What is left of another day's night says nothing about the clock.
    times: times?.from === 'now' && isoDay(now, meeting.zone) !== meeting.date ? null : times,
  };
}

/** How fair the plan is; by the verdicts of its latest draw while it is as drawn. */
function fairnessOf({ meeting, race, entries, heats }: RacePlan, drawn: DrawRecord | null) {
  const lanes = lanesOf(meeting);
  const counted = heats.filter((heat) => heat.stage !== 'void');
  const shown = counted.map((heat) => ({ seats: seatsOf(heat, lanes), marshals: heat.marshals }));
  const order = entries.map((entry) => entry.id);
  const inGroups = groupBy(
    entries.filter((entry) => entry.groupNo !== null),
    (entry) => entry.groupNo,
  );
  const origin = {
    exempt: drawn?.request.exempt ?? [],
    groups: [...inGroups.values()].map((group) => group.map((entry) => entry.id)),
  };
  const lengthMs = planLengthMs(counted.length, longestHeatMs(race));
  const fairness = planFairness(order, shown, race.marshals, origin);
  if (!fairness || !drawn || !isAsDrawn(fairness.certificate, drawn.certificate)) return { fairness, lengthMs };
  const again = planFairness(order, shown, race.marshals, { ...origin, purpose: drawn.request.preset });
  const certificate = withDrawnVerdicts(again?.certificate ?? fairness.certificate, drawn.certificate);
  return { fairness: { ...fairness, certificate }, lengthMs };
}
