import { createHash, randomInt } from 'node:crypto';
import type { ClubTx, Database } from '../../db/client.ts';
import type { DrawPreset } from '../clubs/draw-preset.ts';
import { updateDrawPreset } from '../clubs/store.ts';
import { selectDrivers } from '../drivers/store.ts';
import { nextMeetingIds, setGroups, updateRace } from '../meetings/store.ts';
import { changePlan, lanesFrom, lanesOf, type RaceKey, type RacePlan, readRacePlan, seatsOf } from './actions.ts';
import { type DrawRecord, insertDraw, selectOptionalLastDraw } from './draws-store.ts';
import { groupsOf } from './groups.ts';
import { selectPaceOrder } from './pace-order-store.ts';
import { type DrawPlan, mostRuns, type PlanRequest, staysOnPlan } from './plan-request.ts';
import type { Rotation } from './rotation.ts';
import { deleteHeats, insertHeats } from './store.ts';

/** A race's plan with all that a draw of it goes by. */
export interface DrawBasis {
  readonly plan: RacePlan;
  readonly drawPlan: DrawPlan;
  /** The last draw that was taken; null when there was none. */
  readonly last: DrawRecord | null;
}

/** Reads what a draw goes by; null when there is no such race. */
export async function readDrawBasis(tx: ClubTx, key: RaceKey): Promise<DrawBasis | null> {
  const { clubId, meetingId, raceId } = key;
  const plan = await readRacePlan(tx, clubId, meetingId, raceId);
  return plan && basisOf(tx, key, plan);
}

async function basisOf(tx: ClubTx, { clubId, meetingId, raceId }: RaceKey, plan: RacePlan): Promise<DrawBasis> {
  const last = await selectOptionalLastDraw(tx, { clubId, meetingId, id: raceId });
  const pace = await selectPaceOrder(tx, { clubId, meetingId, id: raceId });
  const drivers = await selectDrivers(tx, clubId, { archived: true });
  const standsMarshal = new Map(drivers.map((driver) => [driver.id, driver.marshals]));
  const lanes = lanesOf(plan.meeting);
  const here = new Set(plan.entries.map((entry) => entry.id));
  return {
    plan,
    last,
    drawPlan: {
      lanes: plan.meeting.trackSettings.lanes.map((one) => one.lane).sort((a, b) => a - b),
      entries: plan.entries.map(({ id, withdrawnAt, driverId, groupNo }) => ({
        id,
        withdrawn: withdrawnAt !== null,
        marshals: standsMarshal.get(driverId) ?? true,
        groupNo,
      })),
      heats: plan.heats.map((heat) => ({
        id: heat.id,
        ordinal: heat.ordinal,
        seats: seatsOf(heat, lanes),
        marshals: heat.marshals,
        stage: heat.stage,
        reruns: heat.reruns,
      })),
      pace: pace.some((one) => one.medianUs !== null) ? pace.map((one) => one.entryId) : null,
      fewerRuns: new Map(
        (last?.request.join ?? []).flatMap(({ driver, runsPerLane }) =>
          here.has(String(driver)) ? [[String(driver), runsPerLane] as const] : [],
        ),
      ),
    },
  };
}

/** A seed for a draw that names none. */
export const newSeed = () => randomInt(2 ** 32);

/**
 * Tells two states of a plan apart, as far as a draw sees them: people, heats, and how far those are. Who is how fast
 * counts only before the first heat: later the groups stay.
 */
export function planFingerprint({ lanes, entries, heats, pace, fewerRuns }: DrawPlan): string {
  const stages = heats.map(({ stage, ...heat }) => ({ ...heat, stage: stage === 'armed' ? 'run' : stage }));
  const order = heats.some(staysOnPlan) ? null : pace;
  const text = JSON.stringify([lanes, entries, stages, order, [...fewerRuns]]);
  return createHash('sha256').update(text).digest('base64url').slice(0, 16);
}

/** A drawn rotation that is to take the place of what is planned. */
export interface TakenDraw {
  readonly planned: PlanRequest;
  readonly rotation: Rotation;
  /** Fingerprint of the plan that it was drawn for. */
  readonly fingerprint: string;
  /** What matters most, to remember for the club; null leaves that as it is. */
  readonly keep: DrawPreset | null;
}

/** What a draw answers when it cannot be taken. */
export type NotTaken = 'plan changed' | 'nothing left' | { readonly tooManyRuns: number };

/**
 * Why a drawn rotation cannot be taken; null where nothing stands against it. `tooManyRuns`: the most heats somebody
 * would have, more than the race gives each.
 */
export function refusalOf({ kept, goes }: PlanRequest, rotation: Rotation, plan: RacePlan): NotTaken | null {
  if (rotation.heats.length === 0 && goes.length === 0) return 'nothing left';
  const most = plan.race.heatsPerEntry;
  if (most === null) return null;
  const here = plan.entries.filter((entry) => entry.withdrawnAt === null).map((entry) => entry.id);
  const done = kept.filter((heat) => heat.stage !== 'void').map((heat) => heat.seats);
  const runs = mostRuns([...done, ...rotation.heats], here);
  return runs > most ? { tooManyRuns: runs } : null;
}

/**
 * Puts a drawn rotation on the plan, with its marshals and groups, and remembers the draw. Heats that were armed or run
 * stay, as do those that run a void heat again.
 *
 * @returns what stood in the way; then nothing was changed
 */
export async function takeDraw(db: Database, key: RaceKey, taken: TakenDraw): Promise<'done' | NotTaken> {
  const { planned, rotation, fingerprint, keep } = taken;
  return changePlan(db, key, async (tx, plan) => {
    const { drawPlan } = await basisOf(tx, key, plan);
    if (planFingerprint(drawPlan) !== fingerprint) return 'plan changed';
    const refused = refusalOf(planned, rotation, plan);
    if (refused) return refused;

    const { clubId, meetingId, raceId } = key;
    const { request, kept, goes } = planned;
    const ids = await nextMeetingIds(tx, clubId, meetingId, 'h', rotation.heats.length);
    const last = Math.max(0, ...kept.map((heat) => heat.ordinal));
    const gone = goes.map((heat) => heat.id);
    await deleteHeats(tx, clubId, meetingId, gone);
    await insertHeats(
      tx,
      clubId,
      meetingId,
      rotation.heats.map((seats, h) => ({
        id: ids[h] as string,
        raceId,
        ordinal: last + h + 1,
        reruns: null,
        lanes: lanesFrom(seats, plan.entries),
        marshals: (rotation.marshals[h] ?? []).map(String),
      })),
    );
    const groups = groupsOf(request);
    const numberOf = new Map(
      groups.flatMap((group, g) => group.map((driver) => [String(driver), groups.length > 1 ? g + 1 : null] as const)),
    );
    await setGroups(tx, clubId, meetingId, raceId, numberOf);
    const race = { clubId, meetingId, id: raceId };
    await updateRace(tx, race, { marshals: request.marshals });
    const { engine, seed, certificate } = rotation;
    await insertDraw(tx, race, { engine, seed, request, certificate });
    if (keep !== null) await updateDrawPreset(tx, clubId, keep);
    return 'done';
  });
}
