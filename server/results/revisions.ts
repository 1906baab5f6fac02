import type { ClubTx } from '../../db/client.ts';
import { countMeeting } from './count.ts';
import { resultsJson } from './results-json.ts';
import { insertStandingRevision, selectLatestStandings } from './revisions-store.ts';
import type { RaceStanding } from './standing.ts';
import type { StoredMeeting } from './store.ts';

/**
 * Keeps the results of each race as they stand now: one revision more for every race whose results JSON has changed.
 * Call it after a heat was confirmed and after a later ruling, in the transaction that wrote it (under the track's row
 * lock), with the meeting as that transaction sees it.
 */
export async function recordStandings(tx: ClubTx, clubId: string, stored: StoredMeeting): Promise<void> {
  const meetingId = stored.meeting.id;
  const latest = await selectLatestStandings(tx, clubId, meetingId);
  for (const race of countMeeting(stored.facts).races) {
    const known = latest.get(race.race);
    // Before its first heat a race has nothing to keep.
    if (known === undefined && race.rows.every(({ heats }) => heats.length === 0)) continue;
    const { provisional } = race;
    const row = { clubId, meetingId, raceId: race.race, provisional, results: raceJson(race) };
    await insertStandingRevision(tx, known, row);
  }
}

/** The results JSON of one race: as it stands in the list of all races. */
export function raceJson(race: RaceStanding): string {
  return resultsJson([race]).slice(1, -1);
}
