import { randomInt } from 'node:crypto';
import type { ClubTx, Database } from '../../db/client.ts';
import { Refusal } from '../errors.ts';
import { ring } from '../live/notify.ts';
import {
  type Entry,
  type Meeting,
  nextMeetingIds,
  type Race,
  selectEntries,
  selectOptionalMeeting,
  selectRaces,
  updateRace,
} from '../meetings/store.ts';
import { bumpPlan } from '../tracks/store.ts';
import { stageHeats } from './heat-stage.ts';
import { redraw, runsOf } from './redraw.ts';
import type { Seat } from './rotation.ts';
import {
  deleteHeats,
  type HeatPlanRow,
  insertHeats,
  type StagedHeat,
  selectHeatMarks,
  selectHeatPlans,
} from './store.ts';

/** A race with everything that its plan depends on. */
export type RacePlan = {
  meeting: Meeting;
  race: Race;
  /** In the order of sign-up. */
  entries: Entry[];
  /** Entries of all races of the meeting: marshals may be any of them. */
  everybody: Entry[];
  /** In the order in which they are run; without those taken off the plan. */
  heats: StagedHeat[];
};

/** Reads the plan of a race; null when there is no such race. */
export async function readRacePlan(
  tx: ClubTx,
  clubId: string,
  meetingId: string,
  raceId: string,
): Promise<RacePlan | null> {
  const meeting = await selectOptionalMeeting(tx, clubId, meetingId);
  const race = (await selectRaces(tx, clubId, meetingId)).find((one) => one.id === raceId);
  if (!meeting || !race) return null;
  const everybody = await selectEntries(tx, clubId, meetingId);
  const entries = everybody.filter((entry) => entry.raceId === raceId);
  const plans = (await selectHeatPlans(tx, clubId, meetingId)).filter((heat) => heat.raceId === raceId);
  const heats = stageHeats(plans, await selectHeatMarks(tx, clubId, meetingId));
  return { meeting, race, entries, everybody, heats };
}

/** Runs one change of a race's plan under its track's lock and lets live screens know. */
export async function changePlan<T>(
  db: Database,
  key: RaceKey,
  work: (tx: ClubTx, plan: RacePlan) => Promise<T>,
): Promise<T> {
  const { clubId, meetingId, raceId } = key;
  return db.withClub(clubId, async (tx) => {
    const meeting = await selectOptionalMeeting(tx, clubId, meetingId);
    if (!meeting) throw new Refusal('notFound');
    await bumpPlan(tx, clubId, meeting.trackId);
    const plan = await readRacePlan(tx, clubId, meetingId, raceId);
    if (!plan) throw new Refusal('notFound');
    const result = await work(tx, plan);
    await ring(tx, { clubId, trackId: meeting.trackId });
    return result;
  });
}

/** Names a race. */
export type RaceKey = { clubId: string; meetingId: string; raceId: string };

/** The number of lanes up to the highest one: seats of a heat are listed by lane number, from 1. */
export const lanesOf = (meeting: Meeting) => Math.max(...meeting.trackSettings.lanes.map((one) => one.lane));

/** The seats of a heat, one a lane. */
export function seatsOf(heat: Pick<HeatPlanRow, 'lanes'>, lanes: number): (string | null)[] {
  return Array.from({ length: lanes }, (_, l) => heat.lanes.find((one) => one.lane === l + 1)?.entryId ?? null);
}

/** The lanes that seats stand for, each with the start delay of its driver. */
export function lanesFrom(seats: readonly Seat[], entries: readonly Entry[]): HeatPlanRow['lanes'] {
  const delays = new Map(entries.map(({ id, delayMs }) => [id, delayMs]));
  return seats.flatMap((seat, l) => {
    if (seat === null) return [];
    const entryId = String(seat);
    return [{ lane: l + 1, entryId, delayMs: delays.get(entryId) ?? 0 }];
  });
}

export type DrawOptions = {
  runsPerLane: number;
  /** Lanes in use, in stepping order. */
  laneOrder: readonly number[];
  order: 'lot' | 'signUp';
  /** Marshals wanted in each heat. */
  marshals: number;
};

/**
 * Draws the rotation, or what is left of it. Heats that were armed or run stay, as do those that run a void heat again;
 * all others come off the plan, and whoever is here gets the lanes they have not had.
 *
 * @returns what stood in the way; then the plan is as it was. `tooManyRuns`: the most heats somebody would have
 */
export async function drawRace(
  db: Database,
  key: RaceKey,
  options: DrawOptions,
): Promise<'done' | 'nobody here' | 'nothing left' | { tooManyRuns: number }> {
  return changePlan(db, key, async (tx, { meeting, race, entries, heats }) => {
    const here = entries.filter((entry) => entry.withdrawnAt === null).map((entry) => entry.id);
    if (here.length === 0) return 'nobody here';
    const lanes = lanesOf(meeting);
    const stays = heats.filter((heat) => heat.stage !== 'planned' || heat.reruns !== null);
    const goes = heats.filter((heat) => !stays.includes(heat));
    const kept = stays.map((heat) => ({ seats: seatsOf(heat, lanes), counts: heat.stage !== 'void' }));
    const drivers = options.order === 'lot' ? shuffled(here) : here;
    const drawn = redraw({ ...options, drivers, lanes, kept });
    if (drawn.heats.length === 0 && goes.length === 0) return 'nothing left';
    const most = mostRuns([...kept.filter((heat) => heat.counts).map((heat) => heat.seats), ...drawn.heats], here);
    if (race.heatsPerEntry !== null && most > race.heatsPerEntry) return { tooManyRuns: most };

    const { clubId, meetingId, raceId } = key;
    const ids = await nextMeetingIds(tx, clubId, meetingId, 'h', drawn.heats.length);
    const last = Math.max(0, ...stays.map((heat) => heat.ordinal));
    await deleteHeats(
      tx,
      clubId,
      meetingId,
      goes.map((heat) => heat.id),
    );
    await insertHeats(
      tx,
      clubId,
      meetingId,
      drawn.heats.map((seats, h) => ({
        id: ids[h] as string,
        raceId,
        ordinal: last + h + 1,
        reruns: null,
        lanes: lanesFrom(seats, entries),
        marshals: (drawn.marshals[h] ?? []).map(String),
      })),
    );
    await updateRace(tx, { clubId, meetingId, id: raceId }, { marshals: options.marshals });
    return 'done';
  });
}

/** The most heats that any of these drivers is in. */
export function mostRuns(heats: readonly (readonly Seat[])[], drivers: readonly string[]): number {
  const runs = runsOf(heats);
  return Math.max(0, ...drivers.map((driver) => runs.get(driver) ?? 0));
}

/** A lot: every order is equally likely (R. Durstenfeld, Algorithm 235, Commun. ACM 7 (1964)). */
function shuffled<T>(items: readonly T[]): T[] {
  const list = [...items];
  for (let i = list.length - 1; i > 0; i -= 1) {
    const j = randomInt(i + 1);
    [list[i], list[j]] = [list[j] as T, list[i] as T];
  }
  return list;
}
