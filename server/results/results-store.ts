import type { ClubTx } from '../../db/client.ts';
import { selectDriverNumbers } from '../drivers/store.ts';
import { selectMeetings } from '../meetings/store.ts';
import { type Lane, selectLanes } from '../tracks/store.ts';
import { type StandingRevision, selectLatestStandings } from './revisions-store.ts';
import { type StoredMeeting, selectOptionalStoredMeeting } from './store.ts';

/** What the results pages of a meeting are made from. */
export type StoredResults = {
  stored: StoredMeeting;
  /** How the lanes of its track look. */
  lanes: Lane[];
  /** By race id. */
  revisions: ReadonlyMap<string, StandingRevision>;
  /** The day of the club's next meeting after this one; null: none is laid down. */
  nextDate: string | null;
};

/** Reads a meeting's results. Ask in a transaction of one instant. Null when the club has no such meeting. */
export async function selectOptionalResults(
  tx: ClubTx,
  clubId: string,
  meetingId: string,
): Promise<StoredResults | null> {
  const stored = await selectOptionalStoredMeeting(tx, clubId, meetingId);
  if (!stored) return null;
  const { trackId, date } = stored.meeting;
  const later = (await selectMeetings(tx, clubId)).map((one) => one.date).filter((day) => day > date);
  return {
    stored,
    lanes: await selectLanes(tx, clubId, trackId),
    revisions: await selectLatestStandings(tx, clubId, meetingId),
    nextDate: later.at(-1) ?? null,
  };
}

/**
 * The numbers under which drivers of a meeting appear in public who keep their nickname to the club, by driver id.
 */
export async function selectPrivateNumbers(
  tx: ClubTx,
  { meeting, entries }: StoredMeeting,
): Promise<ReadonlyMap<string, number>> {
  const hidden = new Set(entries.filter(({ driverPublic }) => !driverPublic).map(({ driverId }) => driverId));
  if (hidden.size === 0) return new Map();
  const numbers = await selectDriverNumbers(tx, meeting.clubId);
  return new Map([...numbers].filter(([id]) => hidden.has(id)));
}
