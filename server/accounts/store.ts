import { and, desc, eq, getTableColumns, gt, inArray, isNull, lt, or, sql } from 'drizzle-orm';
import type { ClubTx, Database } from '../../db/client.ts';
import { club, command, driver, invite, session, setupCode } from '../../db/schema/index.ts';
import type { Role } from './roles.ts';

export type SessionRow = typeof session.$inferSelect;

/**
 * The session of a cookie's hash, or null when there is none or it has run out.
 *
 * @returns with it, whether its last use was noted over a minute ago
 */
export async function selectOptionalSession(
  tx: ClubTx,
  tokenHash: string,
): Promise<(SessionRow & { seenLongAgo: boolean }) | null> {
  const [row] = await tx
    .select({
      ...getTableColumns(session),
      seenLongAgo: sql<boolean>`${session.seenAt} < now() - interval '1 minute'`,
    })
    .from(session)
    .where(and(clubIs(session.clubId), eq(session.tokenHash, tokenHash), gt(session.expiresAt, sql`now()`)));
  return row ?? null;
}

/** Which of these sessions still run. */
export async function selectRunningSessions(tx: ClubTx, tokenHashes: string[]): Promise<Set<string>> {
  const rows = await tx
    .select({ tokenHash: session.tokenHash })
    .from(session)
    .where(and(clubIs(session.clubId), inArray(session.tokenHash, tokenHashes), gt(session.expiresAt, sql`now()`)));
  return new Set(rows.map((row) => row.tokenHash));
}

/** Sessions that still run, newest first. */
export async function selectSessions(tx: ClubTx): Promise<SessionRow[]> {
  return tx
    .select()
    .from(session)
    .where(and(clubIs(session.clubId), gt(session.expiresAt, sql`now()`)))
    .orderBy(desc(session.createdAt));
}

/** What a session may do, and for how many hours. */
export type NewSession = {
  clubId: string;
  tokenHash: string;
  role: Role;
  label: string;
  driverId: string | null;
  meetingId: string | null;
  hours: number;
};

export async function insertSession(tx: ClubTx, s: NewSession): Promise<void> {
  const { hours, ...row } = s;
  await tx.insert(session).values({ ...row, expiresAt: sql`now() + make_interval(hours => ${hours})` });
}

/** Ends a session: its cookie opens nothing any more. The row stays, so that its label is not given out again tonight. */
export async function endSession(tx: ClubTx, tokenHash: string): Promise<void> {
  await tx
    .update(session)
    .set({ expiresAt: sql`least(${session.expiresAt}, now())` })
    .where(and(clubIs(session.clubId), eq(session.tokenHash, tokenHash)));
}

/** Notes that a session was used. */
export async function touchSession(tx: ClubTx, tokenHash: string): Promise<void> {
  await tx
    .update(session)
    .set({ seenAt: sql`now()` })
    .where(and(clubIs(session.clubId), eq(session.tokenHash, tokenHash)));
}

/**
 * Labels of sessions that run or began in the last day, so that two people of one night never sign alike. Holds back
 * everybody else who is about to give out a label in this club, until this transaction ends.
 */
export async function lockLabels(tx: ClubTx): Promise<ReadonlySet<string>> {
  await tx.select({ id: club.id }).from(club).where(clubIs(club.id)).for('no key update');
  const rows = await tx
    .select({ label: session.label })
    .from(session)
    .where(
      and(
        clubIs(session.clubId),
        or(gt(session.expiresAt, sql`now()`), gt(session.createdAt, sql`now() - interval '1 day'`)),
      ),
    );
  return new Set(rows.map((row) => row.label));
}

/** Forgets sessions that ended a month ago. */
export async function deleteOldSessions(tx: ClubTx): Promise<void> {
  await tx.delete(session).where(and(clubIs(session.clubId), lt(session.expiresAt, sql`now() - interval '30 days'`)));
}

/** Ends every session of a driver. */
export async function endSessionsOfDriver(tx: ClubTx, driverId: string): Promise<void> {
  await tx
    .update(session)
    .set({ expiresAt: sql`least(${session.expiresAt}, now())` })
    .where(and(clubIs(session.clubId), eq(session.driverId, driverId)));
}

/**
 * Lets a driver's session into a meeting, if it runs for at least so many hours more: one's own device does.
 *
 * @returns whether it does
 */
export async function moveSession(
  tx: ClubTx,
  { tokenHash, driverId, meetingId, hours }: { tokenHash: string; driverId: string; meetingId: string; hours: number },
): Promise<boolean> {
  const rows = await tx
    .update(session)
    .set({ meetingId })
    .where(
      and(
        clubIs(session.clubId),
        eq(session.tokenHash, tokenHash),
        eq(session.driverId, driverId),
        gt(session.expiresAt, sql`now() + make_interval(hours => ${hours})`),
      ),
    )
    .returning({ tokenHash: session.tokenHash });
  return rows.length > 0;
}

/** A driver of the club by name; null for an unknown or archived one. */
export async function selectOptionalDriverName(tx: ClubTx, driverId: string): Promise<string | null> {
  const [row] = await tx
    .select({ nickname: driver.nickname })
    .from(driver)
    .where(and(clubIs(driver.clubId), eq(driver.id, driverId), isNull(driver.archivedAt)));
  return row?.nickname ?? null;
}

export type NewInvite = { clubId: string; codeHash: string; role: Role; driverId?: string; minutes: number };

export async function insertInvite(tx: ClubTx, i: NewInvite): Promise<void> {
  const { minutes, ...row } = i;
  await tx.insert(invite).values({ ...row, expiresAt: sql`now() + make_interval(mins => ${minutes})` });
}

/** Who is invited. */
export type Invited = { role: Role; driverId: string | null };

/** Whom an invite lets in that can still be used; does not use it. */
export async function selectOptionalInvite(tx: ClubTx, codeHash: string): Promise<Invited | null> {
  const [row] = await tx
    .select({ role: invite.role, driverId: invite.driverId })
    .from(invite)
    .where(isUsable(codeHash));
  return row ? { ...row, role: row.role as Role } : null;
}

/** Uses an invite up. Null when it is unknown, used or has run out. */
export async function consumeInvite(tx: ClubTx, codeHash: string): Promise<Invited | null> {
  const [row] = await tx
    .update(invite)
    .set({ usedAt: sql`now()` })
    .where(isUsable(codeHash))
    .returning({ role: invite.role, driverId: invite.driverId });
  return row ? { ...row, role: row.role as Role } : null;
}

/** Replaces every set-up code by a new one: only the newest link works. */
export async function replaceSetupCode(db: Database, codeHash: string, minutes: number): Promise<void> {
  await db.clubless.transaction(async (tx) => {
    await tx.delete(setupCode);
    await tx.insert(setupCode).values({ codeHash, expiresAt: sql`now() + make_interval(mins => ${minutes})` });
  });
}

/** Wrong set-up codes a person may type before the code itself dies. */
const setupTries = 5;

/** Whether the set-up code is right; a wrong one counts, and after five the code is dead. Does not use it up. */
export async function checkSetupCode(db: Database, codeHash: string): Promise<boolean> {
  const live = and(gt(setupCode.expiresAt, sql`now()`), lt(setupCode.failures, setupTries));
  const [row] = await db.clubless
    .select()
    .from(setupCode)
    .where(and(eq(setupCode.codeHash, codeHash), live));
  if (row) return true;
  await db.clubless.update(setupCode).set({ failures: sql`${setupCode.failures} + 1` });
  return false;
}

/**
 * Notes that a command is being carried out. False when its id was seen before: the same press arrived twice, and the
 * first one did the work.
 */
export async function claimCommand(tx: ClubTx, clubId: string, id: string): Promise<boolean> {
  const rows = await tx.insert(command).values({ clubId, id }).onConflictDoNothing().returning({ id: command.id });
  return rows.length > 0;
}

/** Notes to which address a command led, which {@link claimCommand} has claimed in the same transaction. */
export async function answerCommand(tx: ClubTx, clubId: string, id: string, answer: string): Promise<void> {
  await tx.update(command).set({ answer }).where(isCommand(clubId, id));
}

/** To which address a command led that was carried out before; null where none was noted. */
export async function selectOptionalAnswer(tx: ClubTx, clubId: string, id: string): Promise<string | null> {
  const [row] = await tx.select({ answer: command.answer }).from(command).where(isCommand(clubId, id));
  return row?.answer ?? null;
}

/** Forgets a command that did nothing: sent again, it is tried again. */
export async function deleteCommand(tx: ClubTx, clubId: string, id: string): Promise<void> {
  await tx.delete(command).where(isCommand(clubId, id));
}

const isCommand = (clubId: string, id: string) => and(eq(command.clubId, clubId), eq(command.id, id));

const clubIs = (column: typeof session.clubId | typeof invite.clubId | typeof driver.clubId | typeof club.id) =>
  eq(column, sql`current_setting('lanewise.club')`);

const isUsable = (codeHash: string) =>
  and(clubIs(invite.clubId), eq(invite.codeHash, codeHash), isNull(invite.usedAt), gt(invite.expiresAt, sql`now()`));
