import { and, desc, eq, inArray, isNotNull, max, sql } from 'drizzle-orm';
import type { ClubTx } from '../../db/client.ts';
import { club, driver, paceFit } from '../../db/schema/index.ts';
import { meetingsIn } from './laps-store.ts';
import type { PaceFit } from './pace-fit.ts';
import { type SlowGuardOptions, usualSlowGuard } from './slow-guard.ts';

/** A fit as it is kept. */
export interface StoredFit {
  readonly n: number;
  readonly fit: PaceFit;
  /** What it was made from. */
  readonly laps: number;
  readonly nights: number;
  /** Meetings whose laps went in: a night filter of one of them must begin with an earlier fit. */
  readonly meetings: ReadonlySet<string>;
  readonly inputsStamp: string;
  readonly createdAt: Date;
}

/** Fits that are kept: the latest ones, and the latest one of other meetings than the very latest. */
const mostFits = 5;

/** The latest fit; null where there is none yet. */
export async function selectOptionalLatestFit(tx: ClubTx, clubId: string): Promise<StoredFit | null> {
  const [row] = await tx.select().from(paceFit).where(eq(paceFit.clubId, clubId)).orderBy(desc(paceFit.n)).limit(1);
  return row ? toFit(row) : null;
}

/**
 * What was known of pace before a meeting: the latest fit its laps did not go into, to update heat by heat; null where
 * none is kept.
 */
export async function selectOptionalFitBefore(
  tx: ClubTx,
  clubId: string,
  meetingId: string,
): Promise<StoredFit | null> {
  const rows = await tx.select().from(paceFit).where(eq(paceFit.clubId, clubId)).orderBy(desc(paceFit.n));
  const row = rows.find(({ inputsStamp }) => !meetingsIn(inputsStamp).has(meetingId));
  return row ? toFit(row) : null;
}

function toFit(row: typeof paceFit.$inferSelect): StoredFit {
  const { n, laps, nights, inputsStamp, createdAt } = row;
  return {
    n,
    // Only `insertFit` writes the column.
    fit: JSON.parse(row.fit) as PaceFit,
    laps,
    nights,
    meetings: meetingsIn(inputsStamp),
    inputsStamp,
    createdAt,
  };
}

/**
 * Keeps a fit as the latest one, and forgets the oldest ones.
 *
 * @returns its number
 */
export async function insertFit(
  tx: ClubTx,
  clubId: string,
  { fit, laps, nights, inputsStamp }: Pick<StoredFit, 'fit' | 'laps' | 'nights' | 'inputsStamp'>,
): Promise<number> {
  await tx.select({ id: club.id }).from(club).where(eq(club.id, clubId)).for('no key update');
  const [last] = await tx
    .select({ n: max(paceFit.n) })
    .from(paceFit)
    .where(eq(paceFit.clubId, clubId));
  const n = (last?.n ?? 0) + 1;
  const { engine, seed, inputsHash } = fit;
  await tx
    .insert(paceFit)
    .values({ clubId, n, engine, seed, inputsHash, inputsStamp, laps, nights, fit: JSON.stringify(fit) });
  const kept = await tx
    .select({ n: paceFit.n, inputsStamp: paceFit.inputsStamp })
    .from(paceFit)
    .where(eq(paceFit.clubId, clubId))
    .orderBy(desc(paceFit.n));
  const newest = [...meetingsIn(inputsStamp)].join();
  // Else a night that was worked out again and again would have nothing left to begin with.
  const before = kept.find((one) => [...meetingsIn(one.inputsStamp)].join() !== newest)?.n;
  const old = kept.slice(mostFits).flatMap((one) => (one.n === before ? [] : [one.n]));
  if (old.length > 0) await tx.delete(paceFit).where(and(eq(paceFit.clubId, clubId), inArray(paceFit.n, old)));
  return n;
}

/** Notes that a fit is also that of other inputs, which differ in nothing that pace is told from. */
export async function updateFitStamp(tx: ClubTx, clubId: string, n: number, inputsStamp: string): Promise<void> {
  await tx
    .update(paceFit)
    .set({ inputsStamp })
    .where(and(eq(paceFit.clubId, clubId), eq(paceFit.n, n)));
}

/** Forgets every fit: with its laps gone it speaks of nothing. */
export async function deleteFits(tx: ClubTx, clubId: string): Promise<void> {
  await tx.delete(paceFit).where(eq(paceFit.clubId, clubId));
}

/** How far handicaps of this club follow slowness. */
export async function selectSlowGuard(tx: ClubTx, clubId: string): Promise<SlowGuardOptions> {
  const [row] = await tx.select({ guard: club.slowGuard }).from(club).where(eq(club.id, clubId));
  return row?.guard ?? usualSlowGuard;
}

export async function updateSlowGuard(tx: ClubTx, clubId: string, slowGuard: SlowGuardOptions): Promise<void> {
  await tx.update(club).set({ slowGuard }).where(eq(club.id, clubId));
}

/** Since when the low marks of drivers count, where a director has reset them. */
export async function selectPaceResets(tx: ClubTx, clubId: string): Promise<ReadonlyMap<string, Date>> {
  const rows = await tx
    .select({ id: driver.id, at: driver.paceResetAt })
    .from(driver)
    .where(and(eq(driver.clubId, clubId), isNotNull(driver.paceResetAt)));
  return new Map(rows.flatMap(({ id, at }) => (at ? [[id, at] as const] : [])));
}

/** Lets a driver's low marks count from now on only. */
export async function resetPace(tx: ClubTx, clubId: string, driverId: string): Promise<void> {
  await tx
    .update(driver)
    .set({ paceResetAt: sql`now()` })
    .where(and(eq(driver.clubId, clubId), eq(driver.id, driverId)));
}
