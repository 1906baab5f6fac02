import type { ClubTx, Database } from '../../db/client.ts';
import { Refusal } from '../errors.ts';
import { ring } from '../live/notify.ts';
import {
  type Entry,
  type Meeting,
  type Race,
  selectEntries,
  selectOptionalMeeting,
  selectRaces,
} from '../meetings/store.ts';
import { bumpPlan } from '../tracks/store.ts';
import { stageHeats } from './heat-stage.ts';
import type { Seat } from './rotation.ts';
import { type HeatPlanRow, type StagedHeat, selectHeatMarks, selectHeatPlans } from './store.ts';

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
