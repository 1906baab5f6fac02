import { randomBytes } from 'node:crypto';
import type { ClubTx, Database } from '../../db/client.ts';
import type { TrackSettings } from '../../db/schema/meetings.ts';
import { newId, newJoinCode } from '../accounts/tokens.ts';
import type { Club } from '../clubs/store.ts';
import { lockNicknames, selectDrivers } from '../drivers/store.ts';
import { Refusal } from '../errors.ts';
import { ring } from '../live/notify.ts';
import { bumpPlan, selectLanes, selectOptionalTrack } from '../tracks/store.ts';
import { countHeats } from './progress-store.ts';
import {
  insertEntries,
  insertMeeting,
  insertRace,
  isJoinCodeTaken,
  type Meeting,
  markArchived,
  selectEntries,
  selectOptionalMeeting,
  selectRaces,
  updateMeeting,
} from './store.ts';

export type MeetingWords = { name: string; date: string; trackId: string };

/** What a meeting keeps of its track, as the track is now. Null when there is no such track in use. */
async function snapshotTrack(
  tx: ClubTx,
  clubId: string,
  trackId: string,
): Promise<{ trackId: string; trackName: string; trackSettings: TrackSettings } | null> {
  const track = await selectOptionalTrack(tx, clubId, trackId);
  if (!track || track.archivedAt || track.imported) return null;
  const lanes = await selectLanes(tx, clubId, trackId);
  return {
    trackId,
    trackName: track.name,
    trackSettings: {
      startMode: track.startMode as TrackSettings['startMode'],
      holdRollUs: track.holdRollUs,
      endRollUs: track.endRollUs,
      lanes: lanes.map(({ number, lengthMm, minLapUs }) => ({ lane: number, lengthMm, minLapUs })),
    },
  };
}

/** A code that lets drivers in and that no other meeting of the club has. */
async function freeJoinCode(tx: ClubTx, clubId: string): Promise<string> {
  for (;;) {
    const code = newJoinCode();
    if (!(await isJoinCodeTaken(tx, clubId, code))) return code;
  }
}

/** 132 random bits in 22 base64url characters: the address of public results cannot be guessed. */
const newPublicCode = () => randomBytes(17).toString('base64url').slice(0, 22);

/**
 * Opens a meeting with a copy of its track's settings, open for joining.
 *
 * @returns its id; null when the track is none of the club's
 */
export async function openMeeting(db: Database, club: Club, words: MeetingWords): Promise<string | null> {
  return db.withClub(club.id, async (tx) => {
    const track = await snapshotTrack(tx, club.id, words.trackId);
    if (!track) return null;
    return putMeeting(tx, club, words, track);
  });
}

async function putMeeting(
  tx: ClubTx,
  club: Club,
  words: MeetingWords,
  track: Pick<Meeting, 'trackId' | 'trackName' | 'trackSettings'>,
): Promise<string> {
  const id = newId();
  await insertMeeting(tx, {
    clubId: club.id,
    id,
    name: words.name,
    date: words.date,
    zone: club.zone,
    ...track,
    joinCode: await freeJoinCode(tx, club.id),
    publicCode: newPublicCode(),
  });
  return id;
}

/**
 * Runs one change of a meeting under its track's lock and lets live screens know.
 *
 * @param locks `names`: also holds the club's nicknames; taken first, as everywhere
 */
export async function changeNight<T>(
  db: Database,
  clubId: string,
  meetingId: string,
  work: (tx: ClubTx, meeting: Meeting) => Promise<T>,
  locks: { names: boolean } = { names: false },
): Promise<T> {
  return db.withClub(clubId, async (tx) => {
    if (locks.names) await lockNicknames(tx, clubId);
    const before = await selectOptionalMeeting(tx, clubId, meetingId);
    if (!before) throw new Refusal('notFound');
    await bumpPlan(tx, clubId, before.trackId);
    // Read again: somebody else may have held the lock until now.
    const meeting = (await selectOptionalMeeting(tx, clubId, meetingId)) ?? before;
    const result = await work(tx, meeting);
    await ring(tx, { clubId, trackId: meeting.trackId });
    return result;
  });
}

/** Changes name, date and track. Another track means its settings; heats drawn for the old track stand in the way. */
export async function changeMeeting(
  db: Database,
  clubId: string,
  meetingId: string,
  words: MeetingWords,
): Promise<'done' | 'no track' | 'has heats'> {
  return changeNight(db, clubId, meetingId, async (tx, meeting) => {
    const { name, date } = words;
    if (words.trackId === meeting.trackId) {
      await updateMeeting(tx, clubId, meetingId, { name, date });
      return 'done';
    }
    const track = await snapshotTrack(tx, clubId, words.trackId);
    if (!track) return 'no track';
    if ((await countHeats(tx, clubId, meetingId)) > 0) return 'has heats';
    await updateMeeting(tx, clubId, meetingId, { name, date, ...track });
    await bumpPlan(tx, clubId, track.trackId);
    await ring(tx, { clubId, trackId: track.trackId });
    return 'done';
  });
}

/** Puts a meeting away, which also closes joining, or brings it back. */
export async function archiveMeeting(db: Database, clubId: string, id: string, archived: boolean): Promise<void> {
  await changeNight(db, clubId, id, async (tx) => {
    await markArchived(tx, clubId, id, archived);
    if (archived) await updateMeeting(tx, clubId, id, { joinCode: null });
  });
}

/** Opens joining with a code, closes it, or replaces the code. */
export async function changeJoining(
  db: Database,
  clubId: string,
  id: string,
  joining: 'open' | 'close' | 'new',
): Promise<void> {
  await changeNight(db, clubId, id, async (tx, meeting) => {
    if (joining === 'open' && meeting.joinCode !== null) return;
    if (joining !== 'close' && meeting.archivedAt !== null) throw new Refusal('stale');
    await updateMeeting(tx, clubId, id, { joinCode: joining === 'close' ? null : await freeJoinCode(tx, clubId) });
  });
}

export async function publishMeeting(db: Database, clubId: string, id: string, published: boolean): Promise<void> {
  await changeNight(db, clubId, id, (tx) => updateMeeting(tx, clubId, id, { published }));
}

export type NightSettings = Pick<TrackSettings, 'startMode' | 'holdRollUs' | 'endRollUs'> & {
  minLapUs: ReadonlyMap<number, number>;
};

/** Changes how crossings are counted tonight. Everything that was counted follows from the facts anew. */
export async function changeNightSettings(
  db: Database,
  clubId: string,
  id: string,
  { minLapUs, ...set }: NightSettings,
): Promise<void> {
  await changeNight(db, clubId, id, async (tx, meeting) => {
    const lanes = meeting.trackSettings.lanes.map((one) => ({
      ...one,
      minLapUs: minLapUs.get(one.lane) ?? one.minLapUs,
    }));
    await updateMeeting(tx, clubId, id, { trackSettings: { ...set, lanes } });
  });
}

/**
 * Opens a meeting with the races, and if wanted the entries, of another one. On the same track it also takes over that
 * night's settings. Archived drivers stay out.
 *
 * @returns its id; null when the track is none of the club's
 */
export async function copyMeeting(
  db: Database,
  club: Club,
  fromId: string,
  words: MeetingWords & { entries: boolean },
): Promise<string | null> {
  return db.withClub(club.id, async (tx) => {
    const from = await selectOptionalMeeting(tx, club.id, fromId);
    if (!from) throw new Refusal('notFound');
    const track = await snapshotTrack(tx, club.id, words.trackId);
    if (!track) return null;
    const { trackSettings } = from.trackId === track.trackId ? from : track;
    const id = await putMeeting(tx, club, words, { ...track, trackSettings });
    for (const { className: _, createdAt: __, ...race } of await selectRaces(tx, club.id, fromId)) {
      await insertRace(tx, { ...race, meetingId: id });
    }
    if (words.entries) await copyEntries(tx, club.id, fromId, id);
    return id;
  });
}

async function copyEntries(tx: ClubTx, clubId: string, fromId: string, toId: string): Promise<void> {
  const drivers = new Set((await selectDrivers(tx, clubId)).map((driver) => driver.id));
  const entries = await selectEntries(tx, clubId, fromId);
  await insertEntries(
    tx,
    entries
      .filter((entry) => drivers.has(entry.driverId))
      .map(({ id, raceId, ordinal, driverId, carId }) => ({
        clubId,
        meetingId: toId,
        id,
        raceId,
        ordinal,
        driverId,
        carId,
      })),
  );
}
