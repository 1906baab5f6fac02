import { and, asc, count, desc, eq, getTableColumns, gte, isNotNull, isNull, or, sql } from 'drizzle-orm';
import type { ClubTx, Database } from '../../db/client.ts';
import { carMotor, club, driver, profile, share } from '../../db/schema/index.ts';
import type { CarMotor } from '../profiles/motor/motor.ts';

/** A shared copy of a version; `code` is null for an entry of the library. */
export type Share = typeof share.$inferSelect;

/** Shares that somebody can still read on a day of the club, `YYYY-MM-DD`. */
const isReadable = (today: string) =>
  and(eq(share.open, true), or(isNull(share.endsOn), gte(share.endsOn, today))) as ReturnType<typeof and>;

/** A copy; its owner is named, if at all, by the nickname of today: a name that was given up is on no public page. */
const copyColumns = {
  ...getTableColumns(share),
  author: sql<string | null>`case when ${share.author} is not null then ${driver.nickname} end`.mapWith(
    driver.nickname,
  ),
};
const ownProfile = and(eq(profile.clubId, share.clubId), eq(profile.id, share.profileId));
const itsDriver = and(eq(driver.clubId, profile.clubId), eq(driver.id, profile.driverId));

/** Whoever has the code has the address, so it names the club too. */
export async function selectOptionalShareByCode(db: Database, code: string): Promise<Share | null> {
  const [row] = await db.clubless
    .select(copyColumns)
    .from(share)
    .innerJoin(profile, ownProfile)
    .innerJoin(driver, itsDriver)
    .where(eq(share.code, code));
  return row ?? null;
}

/** The links of a profile that were not taken back, the newest first; those that have ended too. */
export async function selectLinks(tx: ClubTx, clubId: string, profileId: string): Promise<Share[]> {
  return tx
    .select(copyColumns)
    .from(share)
    .innerJoin(profile, ownProfile)
    .innerJoin(driver, itsDriver)
    .where(and(eq(share.clubId, clubId), eq(share.profileId, profileId), eq(share.open, true), isNotNull(share.code)))
    .orderBy(desc(share.sharedOn), asc(share.id));
}

/** The versions of a profile that stand in the library, the newest first. */
export async function selectEntriesOf(tx: ClubTx, clubId: string, profileId: string): Promise<Share[]> {
  return tx
    .select(copyColumns)
    .from(share)
    .innerJoin(profile, ownProfile)
    .innerJoin(driver, itsDriver)
    .where(and(eq(share.clubId, clubId), eq(share.profileId, profileId), eq(share.open, true), isNull(share.code)))
    .orderBy(desc(share.version), asc(share.id));
}

/** An entry of the library with what decides who may take it out, and the motor of its car where that is known. */
export type LibraryEntry = Share & { driverId: string; motor: CarMotor | null };

const entries = (tx: ClubTx) =>
  tx
    .select({ share: copyColumns, driverId: profile.driverId, motor: carMotor.motor })
    .from(share)
    .innerJoin(profile, ownProfile)
    .innerJoin(driver, itsDriver)
    .leftJoin(carMotor, and(eq(carMotor.clubId, profile.clubId), eq(carMotor.carId, profile.carId)));

type EntryRow = { share: Share; driverId: string; motor: Record<string, number> | null };
const entryOf = ({ share: row, driverId, motor }: EntryRow): LibraryEntry => ({
  ...row,
  driverId,
  motor: motor as CarMotor | null,
});

/** Everything in the club's library, the newest first. */
export async function selectLibrary(tx: ClubTx, clubId: string): Promise<LibraryEntry[]> {
  const rows = await entries(tx)
    .where(and(eq(share.clubId, clubId), eq(share.open, true), isNull(share.code)))
    .orderBy(desc(share.sharedOn), asc(share.id));
  return rows.map(entryOf);
}

export async function selectOptionalEntry(tx: ClubTx, clubId: string, id: string): Promise<LibraryEntry | null> {
  const [row] = await entries(tx).where(
    and(eq(share.clubId, clubId), eq(share.id, id), eq(share.open, true), isNull(share.code)),
  );
  return row ? entryOf(row) : null;
}

/** How many links and entries of the club can be read on that day. */
export async function countShares(tx: ClubTx, clubId: string, today: string): Promise<number> {
  const [row] = await tx
    .select({ n: count() })
    .from(share)
    .where(and(eq(share.clubId, clubId), isReadable(today)));
  return row?.n ?? 0;
}

/** Holds back everybody else who shares in this club, until this transaction ends. */
export async function lockShares(tx: ClubTx, clubId: string): Promise<void> {
  await tx.execute(sql`select 1 from ${club} where ${eq(club.id, clubId)} for no key update`);
}

export async function insertShare(tx: ClubTx, row: typeof share.$inferInsert): Promise<void> {
  await tx.insert(share).values(row);
}

/** Takes a link or an entry back. @returns whether there was an open one of this profile */
export async function closeShare(tx: ClubTx, clubId: string, profileId: string, id: string): Promise<boolean> {
  const rows = await tx
    .update(share)
    .set({ open: false })
    .where(and(eq(share.clubId, clubId), eq(share.profileId, profileId), eq(share.id, id), eq(share.open, true)))
    .returning({ id: share.id });
  return rows.length > 0;
}
