import type { FastifyPluginAsync, FastifyReply, FastifyRequest } from 'fastify';
import type { ClubTx } from '../../db/client.ts';
import { isoDay } from '../../views/format.ts';
import { lookOf } from '../../views/night-lanes.ts';
import { ProgrammePage } from '../../views/programme.tsx';
import { RotationPage } from '../../views/rotation.tsx';
import { rotation as t } from '../../views/texts/en/rotation.ts';
import { readIdField, urls } from '../../views/urls.ts';
import { Refusal } from '../errors.ts';
import {
  type Entry,
  type Meeting,
  type Race,
  selectEntries,
  selectOptionalMeeting,
  selectRaces,
} from '../meetings/store.ts';
import { clubOf, idOf, logIdOf } from '../plugins/club.ts';
import { readForm } from '../plugins/forms.ts';
import { type FormState, freshForm, withError } from '../shared/form.ts';
import { selectLanes } from '../tracks/store.ts';
import { drawRace, lanesOf, type RaceKey, type RacePlan, readRacePlan, seatsOf } from './actions.ts';
import { addHeat, moveHeatOnPlan, removeHeat, stepHeatOnPlan, swapOnPlan } from './change-actions.ts';
import { selectOptionalLastDraw } from './draws-store.ts';
import { heatBlocks } from './heat-groups.ts';
import { stageHeats } from './heat-stage.ts';
import { heatTimes, nightLine } from './night-line.ts';
import { changeoverMs, planFairness, planLengthMs } from './plan-fairness.ts';
import { usualOptions } from './redraw.ts';
import type { ReorderRefusal } from './reorder.ts';
import { addLaneField, addSchema, drawSchema, moveSchema, removeSchema, stepSchema, swapSchema } from './schemas.ts';
import { type StagedHeat, selectHeatMarks, selectHeatPlans } from './store.ts';

const director = { config: { access: 'director' } } as const;

export const rotationRoutes: FastifyPluginAsync = async (app) => {
  const keyOf = (request: FastifyRequest): RaceKey => ({
    clubId: clubOf(request).id,
    meetingId: idOf(request, 'meeting'),
    raceId: logIdOf(request, 'race'),
  });

  const find = async (request: FastifyRequest) => {
    const { clubId, meetingId, raceId } = keyOf(request);
    const found = await app.db.readClub(clubId, async (tx) => {
      const plan = await readRacePlan(tx, clubId, meetingId, raceId);
      if (!plan) return null;
      const drawn = await selectOptionalLastDraw(tx, { clubId, meetingId, id: raceId });
      return { plan, drawn, lanes: await lanesOfNight(tx, plan.meeting) };
    });
    if (!found) throw new Refusal('notFound');
    return found;
  };

  /** The page of a race's rotation; after a refused change as the plan now is. */
  const page = async (reply: FastifyReply, answer: { form?: FormState; refused?: string; status?: number } = {}) => {
    const { request } = reply;
    const { plan, lanes, drawn } = await find(request);
    const { driver } = request.query as { driver?: string };
    const only = typeof driver === 'string' ? readIdField(driver) : null;
    const fresh = freshForm(drawDefaults(plan));
    const form = { typed: { ...fresh.typed, ...answer.form?.typed }, errors: answer.form?.errors ?? {} };
    const shell = reply.shell();
    const now = new Date(app.clock.nowUs() / 1000);
    const props = {
      shell,
      slug: clubOf(request).slug,
      ...plan,
      lanes,
      ...fairnessOf(plan),
      ...picturesOf(plan, now),
      clock: { now, zone: plan.meeting.zone, locale: shell.lang },
      drawn,
      drawnHref: null,
      only: plan.entries.find((entry) => entry.id === only) ?? null,
      form,
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

  app.post(`${address}/draw`, director, async (request, reply) => {
    const { plan } = await find(request);
    const read = readForm(drawSchema(lanesOf(plan.meeting)), request.body);
    const again = (form: FormState) => page(reply, { form, status: 422 });
    if (!read.ok) return again(read.form);
    const drawn = await drawRace(app.db, keyOf(request), read.values);
    if (drawn === 'done') return back(reply);
    if (drawn === 'nobody here') return again(withError(read.form, '', t.nobodyHere));
    if (drawn === 'nothing left') return again(withError(read.form, '', t.nothingLeft));
    return again(withError(read.form, 'runsPerLane', tooManyRuns(plan.race, drawn.tooManyRuns)));
  });

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
    const { plan, lanes } = await find(request);
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

/** The lanes of the night as they look, by number. */
async function lanesOfNight(tx: ClubTx, meeting: Meeting) {
  const lanes = await selectLanes(tx, meeting.clubId, meeting.trackId);
  return meeting.trackSettings.lanes.map(({ lane }) => lookOf({ lanes }, lane)).sort((a, b) => a.number - b.number);
}

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

/** The longest that a heat of the race can last; null where it has no end. */
const longestHeatMs = (race: Race) => (race.format === 'laps' ? race.limitMs : race.durationMs);

function fairnessOf({ meeting, race, entries, heats }: RacePlan) {
  const lanes = lanesOf(meeting);
  const counted = heats.filter((heat) => heat.stage !== 'void');
  const shown = counted.map((heat) => ({ seats: seatsOf(heat, lanes), marshals: heat.marshals }));
  const order = entries.map((entry) => entry.id);
  return {
    fairness: planFairness(order, shown, race.marshals),
    lengthMs: planLengthMs(counted.length, longestHeatMs(race)),
  };
}

/** What the form of a draw begins with: as the plan was drawn, as far as it shows. */
function drawDefaults({ meeting, race, heats }: RacePlan): Record<string, string> {
  const lanes = meeting.trackSettings.lanes.map((one) => one.lane);
  const { runsPerLane, laneOrder } = usualOptions(
    lanes,
    heats.filter((heat) => heat.stage !== 'void').map((heat) => heat.lanes),
  );
  return { runsPerLane: String(runsPerLane), laneOrder: laneOrder.join(' '), marshals: String(race.marshals) };
}
