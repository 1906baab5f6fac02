import { and, asc, eq, isNull, sql } from 'drizzle-orm';
import type { ClubTx } from '../../db/client.ts';
import { lane, track } from '../../db/schema/index.ts';

export type Track = typeof track.$inferSelect;
export type Lane = typeof lane.$inferSelect;
export type NewLane = Omit<Lane, 'clubId' | 'trackId'>;

export async function insertTrack(
  tx: ClubTx,
  row: typeof track.$inferInsert,
  lanes: readonly NewLane[],
): Promise<void> {
  await tx.insert(track).values(row);
  // A track that came with a meeting log may have no lanes.
  if (lanes.length > 0) await tx.insert(lane).values(lanes.map((l) => ({ ...l, clubId: row.clubId, trackId: row.id })));
}

/** Tracks that are in use, by name; those that came with an imported meeting only on demand. */
export async function selectTracks(
  tx: ClubTx,
  clubId: string,
  with_: { imported: boolean } = { imported: false },
): Promise<Track[]> {
  const inUse = with_.imported ? undefined : and(eq(track.imported, false), isNull(track.archivedAt));
  return tx
    .select()
    .from(track)
    .where(and(eq(track.clubId, clubId), inUse))
    .orderBy(asc(sql`lower(${track.name})`));
}

export async function selectOptionalTrack(tx: ClubTx, clubId: string, id: string): Promise<Track | null> {
  const [row] = await tx
    .select()
    .from(track)
    .where(and(eq(track.clubId, clubId), eq(track.id, id)));
  return row ?? null;
}

/** A track with its row lock: no fact is added and nothing is planned on it until this transaction ends. */
export async function selectOptionalTrackForUpdate(tx: ClubTx, clubId: string, id: string): Promise<Track | null> {
  const [row] = await tx
    .select()
    .from(track)
    .where(and(eq(track.clubId, clubId), eq(track.id, id)))
    .for('no key update');
  return row ?? null;
}

export async function updateTrack(
  tx: ClubTx,
  clubId: string,
  id: string,
  set: Partial<Pick<Track, 'name' | 'startMode' | 'holdRollUs' | 'endRollUs'>>,
): Promise<void> {
  await tx
    .update(track)
    .set(set)
    .where(and(eq(track.clubId, clubId), eq(track.id, id)));
}

export async function updateTrackArchived(tx: ClubTx, clubId: string, id: string, archived: boolean): Promise<void> {
  await tx
    .update(track)
    .set({ archivedAt: archived ? sql`now()` : null })
    .where(and(eq(track.clubId, clubId), eq(track.id, id)));
}

/** The lanes of a track, by number. */
export async function selectLanes(tx: ClubTx, clubId: string, trackId: string): Promise<Lane[]> {
  return tx
    .select()
    .from(lane)
    .where(and(eq(lane.clubId, clubId), eq(lane.trackId, trackId)))
    .orderBy(asc(lane.number));
}

/** Puts these lanes in the place of the track's lanes. */
export async function replaceLanes(
  tx: ClubTx,
  clubId: string,
  trackId: string,
  lanes: readonly NewLane[],
): Promise<void> {
  await tx.delete(lane).where(and(eq(lane.clubId, clubId), eq(lane.trackId, trackId)));
  await tx.insert(lane).values(lanes.map((l) => ({ ...l, clubId, trackId })));
}

/**
 * Takes the track's row lock and the next `count` fact numbers.
 *
 * Everything that appends facts goes through here: the lock lasts until the transaction ends, so numbers become
 * visible in order and a reader that asks for "above the last one I have" never misses one.
 *
 * @returns the first of the numbers; null when there is no such track
 */
export async function takeFactNumbers(
  tx: ClubTx,
  clubId: string,
  trackId: string,
  count: number,
): Promise<number | null> {
  const [row] = await tx
    .update(track)
    .set({ factNo: sql`${track.factNo} + ${count}` })
    .where(and(eq(track.clubId, clubId), eq(track.id, trackId)))
    .returning({ last: track.factNo })
    .prepare('fact_numbers')
    .execute();
  return row ? row.last - count + 1 : null;
}

/** Takes the track's row lock and notes that what is planned on it has changed. */
export async function bumpPlan(tx: ClubTx, clubId: string, trackId: string): Promise<void> {
  await tx
    .update(track)
    .set({ planNo: sql`${track.planNo} + 1` })
    .where(and(eq(track.clubId, clubId), eq(track.id, trackId)));
}
