import type { ClubTx, Database } from '../../db/client.ts';
import { confirmedAtUs } from '../heats/phase.ts';
import { replaceLaps } from '../heats/store.ts';
import { selectOptionalMeeting } from '../meetings/store.ts';
import { countMeeting } from '../results/count.ts';
import { recordStandings } from '../results/revisions.ts';
import { type StoredMeeting, selectOptionalStoredMeeting } from '../results/store.ts';
import { takeFactNumbers } from '../tracks/store.ts';
import { lapsToKeep } from './laps-to-keep.ts';

/** Stores what is kept of a meeting beside its facts: the laps of confirmed heats, and the standings as they are now. */
export async function keepMeeting(tx: ClubTx, stored: StoredMeeting): Promise<void> {
  const { clubId, id: meetingId } = stored.meeting;
  for (const [heatId, state] of countMeeting(stored.facts).heats) {
    if (confirmedAtUs(state) === null) continue;
    await replaceLaps(tx, { clubId, meetingId, heatId }, lapsToKeep(state, stored.entries));
  }
  await recordStandings(tx, clubId, stored);
}

/** After the settings that counting goes by were changed: laps and standings of confirmed heats are made again. */
export async function recount(db: Database, clubId: string, meetingId: string): Promise<void> {
  await db.withClub(clubId, async (tx) => {
    const meeting = await selectOptionalMeeting(tx, clubId, meetingId);
    if (!meeting) return;
    // The track's lock: nothing is pressed or ruled between reading and writing.
    await takeFactNumbers(tx, clubId, meeting.trackId, 0);
    const stored = await selectOptionalStoredMeeting(tx, clubId, meetingId);
    if (stored) await keepMeeting(tx, stored);
  });
}
