import { and, asc, eq, isNull, type SQL } from 'drizzle-orm';
import type { ClubTx } from '../../db/client.ts';
import { entry, meeting, race } from '../../db/schema/index.ts';

/** On which tracks' screens a name may stand: those with a meeting, not archived, that has an entry or race of it. */

const inClub = (clubId: string, mine: SQL | undefined) =>
  and(eq(meeting.clubId, clubId), isNull(meeting.archivedAt), mine);

/** In order of id, so that two changes never wait for each other's track. */
export async function selectTracksOfDriver(tx: ClubTx, clubId: string, driverId: string): Promise<string[]> {
  return selectTracksOfEntries(tx, clubId, eq(entry.driverId, driverId));
}

/** In order of id. */
export async function selectTracksOfCar(tx: ClubTx, clubId: string, carId: string): Promise<string[]> {
  return selectTracksOfEntries(tx, clubId, eq(entry.carId, carId));
}

async function selectTracksOfEntries(tx: ClubTx, clubId: string, mine: SQL): Promise<string[]> {
  const rows = await tx
    .selectDistinct({ id: meeting.trackId })
    .from(entry)
    .innerJoin(meeting, and(eq(meeting.clubId, entry.clubId), eq(meeting.id, entry.meetingId)))
    .where(inClub(clubId, mine))
    .orderBy(asc(meeting.trackId));
  return rows.map((row) => row.id);
}

/** In order of id. */
export async function selectTracksOfClass(tx: ClubTx, clubId: string, classId: string): Promise<string[]> {
  const rows = await tx
    .selectDistinct({ id: meeting.trackId })
    .from(race)
    .innerJoin(meeting, and(eq(meeting.clubId, race.clubId), eq(meeting.id, race.meetingId)))
    .where(inClub(clubId, eq(race.classId, classId)))
    .orderBy(asc(meeting.trackId));
  return rows.map((row) => row.id);
}
