import { asc, eq, sql } from 'drizzle-orm';
import type { ClubTx, Database } from '../../db/client.ts';
import { club } from '../../db/schema/index.ts';
import { type DrawPreset, drawPresetOf } from './draw-preset.ts';

export type Club = typeof club.$inferSelect;

export async function selectOptionalClub(db: Database, slug: string): Promise<Club | null> {
  const [row] = await db.clubless.select().from(club).where(eq(club.slug, slug));
  return row ?? null;
}

export async function selectOptionalClubById(db: Database, id: string): Promise<Club | null> {
  const [row] = await db.clubless.select().from(club).where(eq(club.id, id));
  return row ?? null;
}

/** The club that was made first: where a visitor without an address goes. */
export async function selectOptionalFirstClub(db: Database): Promise<Club | null> {
  const [row] = await db.clubless.select().from(club).orderBy(asc(club.createdAt), asc(club.id)).limit(1);
  return row ?? null;
}

export async function insertClub(tx: ClubTx, row: typeof club.$inferInsert): Promise<void> {
  await tx.insert(club).values(row);
}

export async function updateClub(tx: ClubTx, id: string, set: { name: string; zone: string }): Promise<void> {
  await tx.update(club).set(set).where(eq(club.id, id));
}

/** What this club's draws weigh first. */
export async function selectDrawPreset(tx: ClubTx, id: string): Promise<DrawPreset> {
  const [row] = await tx.select({ preset: club.drawPreset }).from(club).where(eq(club.id, id));
  return drawPresetOf(row?.preset ?? '');
}

export async function updateDrawPreset(tx: ClubTx, id: string, drawPreset: DrawPreset): Promise<void> {
  await tx.update(club).set({ drawPreset }).where(eq(club.id, id));
}

/** Holds back a second set-up of an empty database until this transaction ends; then says whether it is still empty. */
export async function lockEmpty(tx: ClubTx): Promise<boolean> {
  await tx.execute(sql`lock table ${club} in share row exclusive mode`);
  const rows = await tx.select({ id: club.id }).from(club).limit(1);
  return rows.length === 0;
}
