import type { ClubTx } from '../../db/client.ts';
import { type ClockBitsOf, type HeatFacts, isRuling } from '../heats/facts.ts';
import type { HeatPlan } from '../heats/plan.ts';
import { selectArms, selectHeatFacts, selectMeetingFacts } from '../heats/store.ts';
import {
  type Entry as EntryRow,
  type Meeting as MeetingRow,
  type Race as RaceRow,
  selectEntries,
  selectOptionalMeeting,
  selectRaces,
} from '../meetings/store.ts';
import { type HeatPlanRow, selectHeatPlans } from '../rotation/store.ts';
import { type StoredCrossing, selectCrossingsBetween, selectDevices, type TrackDevice } from '../timing/store.ts';
import { selectOptionalTrack } from '../tracks/store.ts';
import { type Device, type Driver, type JournalLine, type MeetingFacts, planOfHeat } from './meeting-facts.ts';
import { heatOf, raceOf, trackOf } from './rows.ts';
import { type Arming, armingsInOrder, heatAt } from './windows.ts';

/** A meeting as it lies in the database: its rows, for pages, and its facts, for counting. */
export type StoredMeeting = {
  meeting: MeetingRow;
  races: RaceRow[];
  entries: EntryRow[];
  /** In the order in which they are run; those taken off the plan too. */
  heats: HeatPlanRow[];
  devices: TrackDevice[];
  /** The armings of the meeting's track, by instant. */
  armings: Arming[];
  facts: MeetingFacts;
  /** The numbers up to which the track's facts and plan were read. */
  factNo: number;
  planNo: number;
};

/**
 * Reads a whole meeting. Ask in a transaction of one instant (`readClub`), so that facts and plan fit together.
 *
 * @returns null when the club has no such meeting
 */
export async function selectOptionalStoredMeeting(
  tx: ClubTx,
  clubId: string,
  meetingId: string,
): Promise<StoredMeeting | null> {
  const meeting = await selectOptionalMeeting(tx, clubId, meetingId);
  const track = meeting && (await selectOptionalTrack(tx, clubId, meeting.trackId));
  if (!meeting || !track) return null;
  const races = await selectRaces(tx, clubId, meetingId);
  const entries = await selectEntries(tx, clubId, meetingId);
  const heats = await selectHeatPlans(tx, clubId, meetingId);
  const devices = await selectDevices(tx, clubId, track.id);
  const journal = await selectMeetingFacts(tx, clubId, meetingId);
  const armings = await selectArmings(tx, clubId, track.id, meetingId);
  const crossings = await selectMeetingCrossings(tx, meeting, armings, track.imported);
  const lines = journal
    .sort((a, b) => a.factNo - b.factNo)
    .map(({ heatId, fact }): JournalLine => ({ heat: heatId, fact }));
  return {
    meeting,
    races,
    entries,
    heats,
    devices,
    armings,
    facts: factsOf({ meeting, races, entries, heats, devices }, lines, crossings),
    factNo: track.factNo,
    planNo: track.planNo,
  };
}

/** The crossings that belong to the meeting's heats; of an imported meeting, whose track is its own, all. */
async function selectMeetingCrossings(
  tx: ClubTx,
  { clubId, trackId }: MeetingRow,
  armings: readonly Arming[],
  trackIsOwn: boolean,
): Promise<StoredCrossing[]> {
  if (trackIsOwn) return selectCrossingsBetween(tx, clubId, trackId, Number.MIN_SAFE_INTEGER, null);
  const first = armings.find(({ heat }) => heat !== null);
  if (!first) return [];
  const next = armings[armings.findLastIndex(({ heat }) => heat !== null) + 1];
  const crossings = await selectCrossingsBetween(tx, clubId, trackId, first.atUs, next?.atUs ?? null);
  return crossings.filter(({ atUs }) => heatAt(armings, atUs) !== null);
}

/** One heat with everything that counts in it: for a press or a ruling, which must not read the whole night. */
export type StoredHeat = {
  meeting: MeetingRow;
  race: RaceRow;
  heat: HeatPlanRow;
  /** The meeting's heats in the order in which they are run. */
  heats: HeatPlanRow[];
  /** Entries of the heat's race. */
  entries: EntryRow[];
  armings: Arming[];
  plan: HeatPlan;
  facts: HeatFacts;
  bitsOf: ClockBitsOf;
};

/** Reads one heat; null when the meeting has none of this id. Ask under the track's lock before appending facts. */
export async function selectOptionalStoredHeat(
  tx: ClubTx,
  meeting: MeetingRow,
  heatId: string,
): Promise<StoredHeat | null> {
  const { clubId, id: meetingId, trackId } = meeting;
  const heats = await selectHeatPlans(tx, clubId, meetingId);
  const heat = heats.find(({ id }) => id === heatId);
  const race = (await selectRaces(tx, clubId, meetingId)).find(({ id }) => id === heat?.raceId);
  if (!heat || !race) return null;
  const entries = await selectEntries(tx, clubId, meetingId);
  const bits = new Map((await selectDevices(tx, clubId, trackId)).map((device) => [device.id, device.bits]));
  const journal = (await selectHeatFacts(tx, clubId, meetingId, heatId)).map(({ fact }) => fact);
  const armings = await selectArmings(tx, clubId, trackId, meetingId);
  const crossings: StoredCrossing[] = [];
  for (const [i, arming] of armings.entries()) {
    const toUs = armings[i + 1]?.atUs ?? null;
    if (arming.heat !== heatId || toUs === arming.atUs) continue;
    crossings.push(...(await selectCrossingsBetween(tx, clubId, trackId, arming.atUs, toUs)));
  }
  return {
    meeting,
    race,
    heat,
    heats,
    entries: entries.filter(({ raceId }) => raceId === race.id),
    armings,
    plan: planOfHeat(trackOf(meeting), raceOf(race), heatOf(heat)),
    facts: {
      events: journal.filter((fact) => !isRuling(fact)),
      rulings: journal.filter(isRuling),
      crossings,
    },
    bitsOf: (device) => bits.get(device) ?? 64,
  };
}

/** The armings of a track by instant, as one of its meetings sees them. */
async function selectArmings(tx: ClubTx, clubId: string, trackId: string, meetingId: string): Promise<Arming[]> {
  const arms = await selectArms(tx, clubId, trackId);
  return armingsInOrder(arms.map((arm) => ({ heat: arm.meetingId === meetingId ? arm.heatId : null, atUs: arm.atUs })));
}

type Rows = Pick<StoredMeeting, 'meeting' | 'races' | 'entries' | 'heats' | 'devices'>;

/** The meeting's rows in the form of the log. */
function factsOf(rows: Rows, journal: JournalLine[], crossings: StoredCrossing[]): MeetingFacts {
  const { meeting, races, entries, heats, devices } = rows;
  // The track may have, or have had, more lanes than the night counts on: what crossed there belongs to no lane of it.
  const lanes = new Set(meeting.trackSettings.lanes.map(({ lane }) => lane));
  const counted = crossings.filter(({ lane }) => lanes.has(lane));
  const heard = new Set(counted.map(({ device }) => device));
  return {
    meeting: { name: meeting.name, date: meeting.date, zone: meeting.zone },
    track: trackOf(meeting),
    drivers: driversOf(entries),
    races: races.map(raceOf),
    entries: entries.map(({ id, raceId, driverId, carName }) => ({
      id,
      race: raceId,
      driver: driverId,
      car: carName ?? '',
    })),
    heats: heats.map(heatOf),
    devices: devices
      .filter(({ id, kind }) => heard.has(id) || kind === 'imported')
      .map(({ id, bits }): Device => ({ id, bits })),
    journal,
    crossings: counted.map(({ factNo: _, ...crossing }) => crossing),
  };
}

function driversOf(entries: readonly EntryRow[]): Driver[] {
  const drivers = new Map(entries.map(({ driverId, nickname }) => [driverId, { id: driverId, nickname }]));
  return [...drivers.values()];
}
