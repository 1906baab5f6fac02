import { createHash } from 'node:crypto';
import type { ClubTx } from '../../db/client.ts';
import {
  type Entry,
  type Meeting,
  type Race,
  selectEntries,
  selectOptionalMeeting,
  selectRaces,
} from '../meetings/store.ts';
import { fitSeason } from '../pace/fit.ts';
import type { HandicapRequest } from '../pace/handicap.ts';
import type { DriverRow, LapRow } from '../pace/lap-row.ts';
import { selectDriverRows, selectLapRows, selectNights } from '../pace/laps-store.ts';
import type { PaceFit } from '../pace/pace-fit.ts';
import {
  selectOptionalFitBefore,
  selectOptionalLatestFit,
  selectPaceResets,
  selectSlowGuard,
} from '../pace/pace-store.ts';
import { stageHeats } from '../rotation/heat-stage.ts';
import { type StagedHeat, selectHeatMarks, selectHeatPlans } from '../rotation/store.ts';
import { drained } from '../shared/drained.ts';
import { groupBy } from '../shared/group-by.ts';
import { selectOptionalTrack } from '../tracks/store.ts';
import { heatRequest } from './heat-request.ts';
import { type DriverFacts, NightPace, type NightStarter } from './night-pace.ts';
import { selectHeatHandicaps, selectLatestFitNumber, selectRulingMark } from './store.ts';
import type { RaceHandicap, ToldHeat } from './told.ts';

/** A heat to come of a race with a handicap, with what its plan follows from. */
export type HeatToPlan = {
  heat: StagedHeat;
  race: Race;
  handicap: RaceHandicap;
  /** By lane; null where nothing is known of somebody's pace. */
  starters: readonly NightStarter[] | null;
  /** What the planner is asked; null where it cannot be asked. */
  request: HandicapRequest | null;
  /** By lane; null: to be found. */
  byHand: readonly (number | null)[];
  seed: number;
  /** Names all of this. */
  inputs: string;
  /** What is stored; it may be of earlier facts. */
  told: ToldHeat | null;
};

/** Everything that the handicaps of a night follow from, at one instant. */
export type NightPlan = {
  meeting: Meeting;
  entries: ReadonlyMap<string, Entry>;
  drivers: ReadonlyMap<string, DriverRow>;
  /** The fit from before the night; null where there is none. */
  fitN: number | null;
  /** Heats of the night, confirmed and counting. */
  heatsSeen: number;
  /** In the order of the night. */
  heats: HeatToPlan[];
  /** Drivers of whom not one usable lap is known. */
  unknown: ReadonlySet<string>;
  version: PlanVersion;
};

/** While these are the same, so is everything that handicaps follow from. */
export type PlanVersion = { planNo: number; rulings: number; fitN: number | null };

/**
 * Reads what the handicaps of a meeting's heats to come follow from. Ask in a transaction of one instant.
 *
 * @returns null when there is no such meeting or no race of it has a handicap
 */
export async function readNightPlan(tx: ClubTx, clubId: string, meetingId: string): Promise<NightPlan | null> {
  const races = await selectRaces(tx, clubId, meetingId);
  if (!races.some(({ handicap }) => handicap !== null)) return null;
  const meeting = await selectOptionalMeeting(tx, clubId, meetingId);
  if (!meeting) return null;
  const entries = new Map((await selectEntries(tx, clubId, meetingId)).map((entry) => [entry.id, entry]));
  const marks = await selectHeatMarks(tx, clubId, meetingId);
  const heats = stageHeats(await selectHeatPlans(tx, clubId, meetingId), marks);
  const confirmed = new Set(marks.filter(({ kind }) => kind === 'confirm').map(({ heatId }) => heatId));
  const told = await selectHeatHandicaps(tx, clubId, meetingId);
  const drivers = new Map((await selectDriverRows(tx, clubId)).map((driver) => [driver.driver, driver]));
  const { pace, fitN, hasHistory } = await readPace(tx, meeting, drivers);
  const version = await selectVersion(tx, clubId, meeting, fitN);

  const toPlan = heats.flatMap((heat): HeatToPlan[] => {
    const race = races.find(({ id }) => id === heat.raceId);
    if (!race?.handicap || heat.stage !== 'planned' || heat.lanes.length === 0) return [];
    return [heatToPlan({ heat, race, handicap: race.handicap, meeting, entries, pace, hasHistory }, told.get(heat.id))];
  });
  const unknown = new Set([...entries.values()].map((e) => e.driverId).filter((driver) => !pace.isKnown(driver)));
  const heatsSeen = heats.filter(({ id, stage }) => stage === 'run' && confirmed.has(id)).length;
  return { meeting, entries, drivers, fitN, heatsSeen, heats: toPlan, unknown, version };
}

/** What tells whether anything has changed since; cheap enough to ask under the track's lock. */
export async function selectVersion(
  tx: ClubTx,
  clubId: string,
  { id, trackId }: Pick<Meeting, 'id' | 'trackId'>,
  fitN: number | null,
): Promise<PlanVersion> {
  const track = await selectOptionalTrack(tx, clubId, trackId);
  return { planNo: track?.planNo ?? 0, rulings: await selectRulingMark(tx, clubId, id), fitN };
}

/**
 * The same as long as nothing has changed that the handicaps of a meeting follow from, without reading a lap.
 *
 * @returns null when there is no such meeting or no race of it has a handicap
 */
export async function selectFactsMark(tx: ClubTx, clubId: string, meetingId: string): Promise<string | null> {
  const races = await selectRaces(tx, clubId, meetingId);
  const meeting = races.some(({ handicap }) => handicap !== null)
    ? await selectOptionalMeeting(tx, clubId, meetingId)
    : null;
  if (!meeting) return null;
  const version = await selectVersion(tx, clubId, meeting, await selectLatestFitNumber(tx, clubId));
  const resets = [...(await selectPaceResets(tx, clubId))];
  const guard = await selectSlowGuard(tx, clubId);
  const all = JSON.stringify([version, meeting.date, await selectDriverRows(tx, clubId), resets, guard]);
  return createHash('sha256').update(all).digest('base64url');
}

/** What a club knows before its first night: nothing of anybody, and what is usual. */
let emptyFit: PaceFit | null = null;
const noHistory = (): PaceFit => {
  emptyFit ??= drained(fitSeason([], [], { seed: 1 }));
  return emptyFit;
};

async function readPace(
  tx: ClubTx,
  { clubId, id: meetingId, date }: Meeting,
  rows: ReadonlyMap<string, DriverRow>,
): Promise<{ pace: NightPace; fitN: number | null; hasHistory: boolean }> {
  const before = await selectOptionalFitBefore(tx, clubId, meetingId);
  // Where only fits with the night itself are left, they know its heats already; one of nothing else knows too little.
  const later = before ? null : await selectOptionalLatestFit(tx, clubId);
  const fit = before ?? (later !== null && later.nights > 1 ? later : null);
  const laps = before || !fit ? await selectLapRows(tx, clubId, { meetingIds: [meetingId] }) : [];
  const nights = await selectNights(tx, clubId);
  const days = new Map(nights.filter(({ hasLaps }) => hasLaps).map((night) => [night.night, dayOf(night.date)]));
  const resets = await selectPaceResets(tx, clubId);
  const drivers = new Map(
    [...rows.values()].map(({ driver, group }): [string, DriverFacts] => {
      const reset = resets.get(driver);
      return [driver, { group, resetDay: reset ? Math.floor(reset.getTime() / dayMs) : null }];
    }),
  );
  const pace = new NightPace({
    fit: fit?.fit ?? noHistory(),
    heats: inOrder(laps),
    drivers,
    dayOf: (night) => days.get(night) ?? null,
    today: dayOf(date),
    guard: await selectSlowGuard(tx, clubId),
  });
  return { pace, fitN: fit?.n ?? null, hasHistory: fit !== null };
}

const dayMs = 86_400_000;
const dayOf = (date: string) => Math.floor(Date.parse(`${date}T00:00:00Z`) / dayMs);

function inOrder(laps: readonly LapRow[]): LapRow[][] {
  const heats = [...groupBy(laps, ({ heat }) => heat).values()];
  const key = (heat: readonly LapRow[]) => heat[0] ?? { startS: 0, heat: '' };
  return heats.sort((a, b) => key(a).startS - key(b).startS || (key(a).heat < key(b).heat ? -1 : 1));
}

type Place = {
  heat: StagedHeat;
  race: Race;
  handicap: RaceHandicap;
  meeting: Meeting;
  entries: ReadonlyMap<string, Entry>;
  pace: NightPace;
  hasHistory: boolean;
};

function heatToPlan(place: Place, told: ToldHeat | undefined): HeatToPlan {
  const { heat, race, handicap, meeting, entries, pace, hasHistory } = place;
  const ofLane = heat.lanes.map(({ entryId }) => entries.get(entryId));
  const byHand = ofLane.map((entry) =>
    entry?.handicapByHand ? (handicap.mode === 'delay' ? entry.delayMs : entry.credit) : null,
  );
  // Without any history nothing is guessed of who has not driven tonight.
  const known = ofLane.every((entry) => entry && (hasHistory || pace.isKnown(entry.driverId)));
  const places = heat.lanes.map(({ lane }, i) => ({
    driver: ofLane[i]?.driverId ?? '',
    carClass: race.classId,
    track: meeting.trackId,
    lane,
    // What the whole field shares cancels; so any time of the night will do.
    startS: pace.lastStartS,
  }));
  const starters = known ? pace.starters(places) : null;
  const seed = createHash('sha256')
    .update(JSON.stringify([meeting.id, heat.id]))
    .digest()
    .readUInt32BE(0);
  const asked = starters && { race, handicap, starters: starters.map(({ starter }) => starter), byHand, seed };
  const request = asked && heatRequest(asked);
  const inputs = createHash('sha256')
    .update(JSON.stringify([request, handicap, byHand, heat.lanes.map(({ lane, entryId }) => [lane, entryId])]))
    .update(JSON.stringify(starters?.map(({ by, provisional }) => [by, provisional]) ?? null))
    .digest('base64url');
  return { heat, race, handicap, starters, request, byHand, seed, inputs, told: told ?? null };
}
