import { and, asc, count, desc, eq, inArray, isNull, sql } from 'drizzle-orm';
import type { ClubTx } from '../../db/client.ts';
import { club, driver, lap, meeting } from '../../db/schema/index.ts';

export type Driver = typeof driver.$inferSelect;

/** Drivers of a club by nickname; archived ones only on demand. */
export async function selectDrivers(
  tx: ClubTx,
  clubId: string,
  with_: { archived: boolean } = { archived: false },
): Promise<Driver[]> {
  return tx
    .select()
    .from(driver)
    .where(and(eq(driver.clubId, clubId), with_.archived ? undefined : isNull(driver.archivedAt)))
    .orderBy(asc(driver.nicknameKey), asc(driver.createdAt), asc(driver.id));
}

export async function selectOptionalDriver(tx: ClubTx, clubId: string, id: string): Promise<Driver | null> {
  const [row] = await tx
    .select()
    .from(driver)
    .where(and(eq(driver.clubId, clubId), eq(driver.id, id)));
  return row ?? null;
}

/**
 * Holds back everybody else who is about to give out a nickname in this club, until this transaction ends. Imported
 * meetings may bring two drivers of one nickname, so no unique index does this. Take it before any lock of a track.
 */
export async function lockNicknames(tx: ClubTx, clubId: string): Promise<void> {
  await tx.select({ id: club.id }).from(club).where(eq(club.id, clubId)).for('no key update');
}

/** Drivers who bear one of these nicknames, as `nameKey` folds them; archived ones too. */
export async function selectDriversByKeys(tx: ClubTx, clubId: string, keys: readonly string[]): Promise<Driver[]> {
  if (keys.length === 0) return [];
  return tx
    .select()
    .from(driver)
    .where(and(eq(driver.clubId, clubId), inArray(driver.nicknameKey, [...keys])))
    .orderBy(asc(driver.createdAt), asc(driver.id));
}

export async function insertDrivers(tx: ClubTx, rows: readonly (typeof driver.$inferInsert)[]): Promise<void> {
  if (rows.length > 0) await tx.insert(driver).values([...rows]);
}

/** What pace needs to know of a driver; what is not given stays as it is. */
export type PaceAnswers = {
  paceGroup?: Driver['paceGroup'] | undefined;
  /** Nights raced before the first one that is stored. */
  nightsBefore?: number | undefined;
};

export async function updateDriver(
  tx: ClubTx,
  clubId: string,
  id: string,
  set: { nickname: string; nicknameKey: string; public: boolean; marshals?: boolean } & PaceAnswers,
): Promise<void> {
  await tx
    .update(driver)
    .set(set)
    .where(and(eq(driver.clubId, clubId), eq(driver.id, id)));
}

export async function updateDriverArchived(tx: ClubTx, clubId: string, id: string, archived: boolean): Promise<void> {
  await tx
    .update(driver)
    .set({ archivedAt: archived ? sql`now()` : null })
    .where(and(eq(driver.clubId, clubId), eq(driver.id, id)));
}

/** The number of each driver of a club, archived ones too: the place in the order of joining, from 1. */
export async function selectDriverNumbers(tx: ClubTx, clubId: string): Promise<ReadonlyMap<string, number>> {
  const rows = await tx
    .select({ id: driver.id })
    .from(driver)
    .where(eq(driver.clubId, clubId))
    .orderBy(asc(driver.createdAt), asc(driver.id));
  return new Map(rows.map(({ id }, i) => [id, i + 1]));
}

/** The number under which a driver appears who keeps the nickname private. */
export async function selectDriverNumber(tx: ClubTx, of: Driver): Promise<number> {
  // Counted in the list: drivers who joined in one transaction share their instant to the microsecond.
  return (await selectDriverNumbers(tx, of.clubId)).get(of.id) ?? 0;
}

/** What a driver did at one meeting, from the laps of confirmed heats. */
export type MeetingHistory = {
  meetingId: string;
  meetingName: string;
  date: string;
  trackName: string;
  laps: number;
  /** Shortest lap without a flag, in microseconds; null when there was none. */
  bestCleanUs: number | null;
};

/** A driver's meetings with counted laps, the latest first. */
export async function selectHistory(tx: ClubTx, clubId: string, driverId: string): Promise<MeetingHistory[]> {
  return tx
    .select({
      meetingId: meeting.id,
      meetingName: meeting.name,
      date: meeting.date,
      trackName: meeting.trackName,
      laps: count(),
      bestCleanUs: sql<number | null>`min(${lap.durationUs}) filter (where cardinality(${lap.flags}) = 0)`.mapWith(
        Number,
      ),
    })
    .from(lap)
    .innerJoin(meeting, and(eq(meeting.clubId, lap.clubId), eq(meeting.id, lap.meetingId)))
    .where(and(eq(lap.clubId, clubId), eq(lap.driverId, driverId)))
    .groupBy(meeting.clubId, meeting.id)
    .orderBy(desc(meeting.date), desc(meeting.createdAt), asc(meeting.id));
}
