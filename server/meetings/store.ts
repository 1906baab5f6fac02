import { and, asc, desc, eq, inArray, isNull, ne, sql } from 'drizzle-orm';
import type { ClubTx, Database } from '../../db/client.ts';
import { car, carClass, club, driver, entry, heat, meeting, race } from '../../db/schema/index.ts';
import { groupBy } from '../shared/group-by.ts';

export type Meeting = typeof meeting.$inferSelect;
/** A race with the name of its car class. */
export type Race = typeof race.$inferSelect & { className: string };
/** A driver in a race, with what people see of driver and car. */
export type Entry = typeof entry.$inferSelect & {
  nickname: string;
  /** Whether the nickname may stand on public pages. */
  driverPublic: boolean;
  carName: string | null;
};
export type MeetingSet = Partial<Omit<typeof meeting.$inferInsert, 'clubId' | 'id' | 'createdAt' | 'archivedAt'>>;
/** Names a race, an entry or a heat. */
export type MeetingKey = { clubId: string; meetingId: string; id: string };
export type RaceSet = Omit<typeof race.$inferInsert, 'clubId' | 'meetingId' | 'id' | 'createdAt'>;

/** Meetings of a club, the latest date first; archived ones only on demand. */
export async function selectMeetings(
  tx: ClubTx,
  clubId: string,
  with_: { archived: boolean } = { archived: false },
): Promise<Meeting[]> {
  return tx
    .select()
    .from(meeting)
    .where(and(eq(meeting.clubId, clubId), with_.archived ? undefined : isNull(meeting.archivedAt)))
    .orderBy(desc(meeting.date), desc(meeting.createdAt), asc(meeting.id));
}

export async function selectOptionalMeeting(tx: ClubTx, clubId: string, id: string): Promise<Meeting | null> {
  const [row] = await tx
    .select()
    .from(meeting)
    .where(and(eq(meeting.clubId, clubId), eq(meeting.id, id)));
  return row ?? null;
}

/** The meeting that lets drivers in under this code, as `tidyJoinCode` writes it. */
export async function selectOptionalMeetingByJoinCode(
  tx: ClubTx,
  clubId: string,
  joinCode: string,
): Promise<Meeting | null> {
  const [row] = await tx
    .select()
    .from(meeting)
    .where(and(eq(meeting.clubId, clubId), eq(meeting.joinCode, joinCode), isNull(meeting.archivedAt)));
  return row ?? null;
}

/** The club and meeting of a public results address, whichever club it belongs to. */
export async function selectOptionalMeetingByPublicCode(db: Database, publicCode: string): Promise<Meeting | null> {
  const [row] = await db.clubless.select().from(meeting).where(eq(meeting.publicCode, publicCode));
  return row ?? null;
}

export async function insertMeeting(tx: ClubTx, row: typeof meeting.$inferInsert): Promise<void> {
  await tx.insert(meeting).values(row);
}

export async function updateMeeting(tx: ClubTx, clubId: string, id: string, set: MeetingSet): Promise<void> {
  await tx
    .update(meeting)
    .set(set)
    .where(and(eq(meeting.clubId, clubId), eq(meeting.id, id)));
}

/** Puts a meeting away, or brings it back. */
export async function markArchived(tx: ClubTx, clubId: string, id: string, archived: boolean): Promise<void> {
  await tx
    .update(meeting)
    .set({ archivedAt: archived ? sql`now()` : null })
    .where(and(eq(meeting.clubId, clubId), eq(meeting.id, id)));
}

/** Whether any meeting of the club, also an archived one, has this code. */
export async function isJoinCodeTaken(tx: ClubTx, clubId: string, joinCode: string): Promise<boolean> {
  const rows = await tx
    .select({ id: meeting.id })
    .from(meeting)
    .where(and(eq(meeting.clubId, clubId), eq(meeting.joinCode, joinCode)));
  return rows.length > 0;
}

/** The slugs of all clubs in which this code lets drivers in: codes are unique in a club only. */
export async function selectSlugsByJoinCode(db: Database, joinCode: string): Promise<string[]> {
  const rows = await db.clubless
    .select({ slug: club.slug })
    .from(meeting)
    .innerJoin(club, eq(club.id, meeting.clubId))
    .where(and(eq(meeting.joinCode, joinCode), isNull(meeting.archivedAt)))
    .orderBy(asc(club.createdAt));
  return rows.map((row) => row.slug);
}

/** Races of a meeting in the order in which they are run. */
export async function selectRaces(tx: ClubTx, clubId: string, meetingId: string): Promise<Race[]> {
  const rows = await tx
    .select({ race, className: carClass.name })
    .from(race)
    .innerJoin(carClass, and(eq(carClass.clubId, race.clubId), eq(carClass.id, race.classId)))
    .where(and(eq(race.clubId, clubId), eq(race.meetingId, meetingId)))
    .orderBy(asc(race.ordinal), asc(race.id));
  return rows.map((row) => ({ ...row.race, className: row.className }));
}

export async function insertRace(tx: ClubTx, row: typeof race.$inferInsert): Promise<void> {
  await tx.insert(race).values(row);
}

export async function updateRace(tx: ClubTx, key: MeetingKey, set: Partial<RaceSet>): Promise<void> {
  await tx
    .update(race)
    .set(set)
    .where(and(eq(race.clubId, key.clubId), eq(race.meetingId, key.meetingId), eq(race.id, key.id)));
}

/** Takes a race away with its entries and heats; fails when a heat of it has facts. */
export async function deleteRace(tx: ClubTx, key: MeetingKey): Promise<void> {
  // Lanes and marshals of its heats hold entries: heats go first.
  await tx
    .delete(heat)
    .where(and(eq(heat.clubId, key.clubId), eq(heat.meetingId, key.meetingId), eq(heat.raceId, key.id)));
  await tx.delete(race).where(and(eq(race.clubId, key.clubId), eq(race.meetingId, key.meetingId), eq(race.id, key.id)));
}

/** Entries of all races of a meeting, in the order of sign-up; withdrawn ones too. */
export async function selectEntries(tx: ClubTx, clubId: string, meetingId: string): Promise<Entry[]> {
  const rows = await tx
    .select({ entry, nickname: driver.nickname, driverPublic: driver.public, carName: car.name })
    .from(entry)
    .innerJoin(race, and(eq(race.clubId, entry.clubId), eq(race.meetingId, entry.meetingId), eq(race.id, entry.raceId)))
    .innerJoin(driver, and(eq(driver.clubId, entry.clubId), eq(driver.id, entry.driverId)))
    .leftJoin(car, and(eq(car.clubId, entry.clubId), eq(car.id, entry.carId)))
    .where(and(eq(entry.clubId, clubId), eq(entry.meetingId, meetingId)))
    .orderBy(asc(race.ordinal), asc(entry.ordinal), asc(entry.createdAt), asc(entry.id));
  return rows.map(({ entry: row, ...more }) => ({ ...row, ...more }));
}

export async function insertEntries(tx: ClubTx, rows: readonly (typeof entry.$inferInsert)[]): Promise<void> {
  if (rows.length > 0) await tx.insert(entry).values([...rows]);
}

export async function updateEntryCar(tx: ClubTx, key: MeetingKey, carId: string | null): Promise<void> {
  await tx.update(entry).set({ carId }).where(entryIs(key));
}

/** Takes back what was credited by hand in a race. */
export async function clearCredits(tx: ClubTx, { clubId, meetingId, id }: MeetingKey): Promise<void> {
  await tx
    .update(entry)
    .set({ credit: 0, handicapByHand: false })
    .where(and(eq(entry.clubId, clubId), eq(entry.meetingId, meetingId), eq(entry.raceId, id), ne(entry.credit, 0)));
}

/**
 * Splits a race into groups, or takes entries out of theirs.
 *
 * @param groups the group from 1, or null, of each entry to change by its id; entries of other races stay as they are
 */
export async function setGroups(
  tx: ClubTx,
  clubId: string,
  meetingId: string,
  raceId: string,
  groups: ReadonlyMap<string, number | null>,
): Promise<void> {
  const ofRace = and(eq(entry.clubId, clubId), eq(entry.meetingId, meetingId), eq(entry.raceId, raceId));
  for (const [groupNo, members] of groupBy([...groups], ([, group]) => group)) {
    const ids = members.map(([id]) => id);
    await tx
      .update(entry)
      .set({ groupNo })
      .where(and(ofRace, inArray(entry.id, ids)));
  }
}

/** Notes that a driver went home, or came back. */
export async function markWithdrawn(tx: ClubTx, key: MeetingKey, withdrawn: boolean): Promise<void> {
  await tx
    .update(entry)
    .set({ withdrawnAt: withdrawn ? sql`now()` : null })
    .where(entryIs(key));
}

/** Takes an entry away; fails when a heat names it. */
export async function deleteEntry(tx: ClubTx, key: MeetingKey): Promise<void> {
  await tx.delete(entry).where(entryIs(key));
}

const entryIs = (key: MeetingKey) =>
  and(eq(entry.clubId, key.clubId), eq(entry.meetingId, key.meetingId), eq(entry.id, key.id));

const tables = { r: race, e: entry, h: heat } as const;

/**
 * The next free ids of a meeting's races (`r1`), entries (`e1`) or heats (`h1`), as they stand in the log. Ask under
 * the track's row lock (`bumpPlan`), before anything is taken away: a number is then not given twice in one change.
 */
export async function nextMeetingIds(
  tx: ClubTx,
  clubId: string,
  meetingId: string,
  kind: keyof typeof tables,
  howMany: number,
): Promise<string[]> {
  const table = tables[kind];
  const [row] = await tx
    .select({
      last: sql<number>`coalesce(max(substring(${table.id} from ${`^${kind}(\\d{1,8})$`})::int), 0)`.mapWith(Number),
    })
    .from(table)
    .where(and(eq(table.clubId, clubId), eq(table.meetingId, meetingId)));
  const last = row?.last ?? 0;
  return Array.from({ length: howMany }, (_, i) => `${kind}${last + i + 1}`);
}

/** The next free id of one kind; see {@link nextMeetingIds}. */
export async function nextMeetingId(
  tx: ClubTx,
  clubId: string,
  meetingId: string,
  kind: keyof typeof tables,
): Promise<string> {
  const [id] = await nextMeetingIds(tx, clubId, meetingId, kind, 1);
  return id as string;
}
