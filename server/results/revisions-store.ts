import { and, asc, desc, eq } from 'drizzle-orm';
import type { ClubTx } from '../../db/client.ts';
import { standing } from '../../db/schema/index.ts';

/** A race's results as they stood at one moment. `results` is the results JSON of the race, byte for byte. */
export type StandingRevision = typeof standing.$inferSelect;
export type NewStandingRevision = Pick<StandingRevision, 'clubId' | 'meetingId' | 'raceId' | 'provisional' | 'results'>;

/** The revisions of all races of a meeting, the oldest first. */
export async function selectStandings(tx: ClubTx, clubId: string, meetingId: string): Promise<StandingRevision[]> {
  return tx
    .select()
    .from(standing)
    .where(and(eq(standing.clubId, clubId), eq(standing.meetingId, meetingId)))
    .orderBy(asc(standing.raceId), asc(standing.revision));
}

/** The latest revision of each race of a meeting, by the race's id. */
export async function selectLatestStandings(
  tx: ClubTx,
  clubId: string,
  meetingId: string,
): Promise<ReadonlyMap<string, StandingRevision>> {
  const rows = await tx
    .selectDistinctOn([standing.raceId])
    .from(standing)
    .where(and(eq(standing.clubId, clubId), eq(standing.meetingId, meetingId)))
    .orderBy(asc(standing.raceId), desc(standing.revision));
  return new Map(rows.map((row) => [row.raceId, row]));
}

/**
 * Adds a revision, unless the race's latest one has the same bytes. Ask under the track's row lock: two at once would
 * take the same number.
 *
 * @returns its number, from 1; null when nothing has changed
 */
export async function insertStandingRevision(
  tx: ClubTx,
  latest: StandingRevision | undefined,
  row: NewStandingRevision,
): Promise<number | null> {
  if (latest?.results === row.results) return null;
  const revision = (latest?.revision ?? 0) + 1;
  await tx.insert(standing).values({ ...row, revision });
  return revision;
}
