import { and, asc, eq, isNull, sql } from 'drizzle-orm';
import type { ClubTx } from '../../db/client.ts';
import { controllerUnit, driver, track } from '../../db/schema/index.ts';

export type Unit = typeof controllerUnit.$inferSelect;
/** A unit with the names of whom or where it belongs to. */
export type NamedUnit = Unit & { driverNickname: string | null; trackName: string | null };
/** Names a unit. */
export type UnitKey = { clubId: string; id: string };
/** Whose a unit is: a driver's, a lane's, or the club's where all are null. */
export type UnitHolder = { driverId: string | null; trackId: string | null; lane: number | null };

const isUnit = ({ clubId, id }: UnitKey) => and(eq(controllerUnit.clubId, clubId), eq(controllerUnit.id, id));

function named(tx: ClubTx) {
  return tx
    .select({ unit: controllerUnit, driverNickname: driver.nickname, trackName: track.name })
    .from(controllerUnit)
    .leftJoin(driver, and(eq(driver.clubId, controllerUnit.clubId), eq(driver.id, controllerUnit.driverId)))
    .leftJoin(track, and(eq(track.clubId, controllerUnit.clubId), eq(track.id, controllerUnit.trackId)));
}

/** Units of a club in the order in which they were added, archived ones too; of one driver only, if one is named. */
export async function selectUnits(tx: ClubTx, clubId: string, driverId: string | null = null): Promise<NamedUnit[]> {
  const rows = await named(tx)
    .where(
      and(eq(controllerUnit.clubId, clubId), driverId === null ? undefined : eq(controllerUnit.driverId, driverId)),
    )
    .orderBy(asc(controllerUnit.createdAt), asc(controllerUnit.id));
  return rows.map(({ unit, ...names }) => ({ ...unit, ...names }));
}

export async function selectOptionalUnit(tx: ClubTx, key: UnitKey): Promise<NamedUnit | null> {
  const [row] = await named(tx).where(isUnit(key));
  return row ? { ...row.unit, driverNickname: row.driverNickname, trackName: row.trackName } : null;
}

/** The unit with this token; one that was archived has none. */
export async function selectOptionalUnitByToken(tx: ClubTx, clubId: string, tokenHash: string): Promise<Unit | null> {
  const [row] = await tx
    .select()
    .from(controllerUnit)
    .where(
      and(
        eq(controllerUnit.clubId, clubId),
        eq(controllerUnit.tokenHash, tokenHash),
        isNull(controllerUnit.archivedAt),
      ),
    );
  return row ?? null;
}

/** The unit's row with its lock: its mechanical setting and its readings stay as they are until this transaction ends. */
export async function selectOptionalUnitForUpdate(tx: ClubTx, key: UnitKey): Promise<Unit | null> {
  const [row] = await tx.select().from(controllerUnit).where(isUnit(key)).for('no key update');
  return row ?? null;
}

export async function insertUnit(tx: ClubTx, row: typeof controllerUnit.$inferInsert): Promise<void> {
  await tx.insert(controllerUnit).values(row);
}

/** @returns whether there is such a unit */
export async function updateUnit(
  tx: ClubTx,
  key: UnitKey,
  set: Partial<UnitHolder & { name: string; sheet: unknown; tokenHash: string | null }>,
): Promise<boolean> {
  const rows = await tx.update(controllerUnit).set(set).where(isUnit(key)).returning({ id: controllerUnit.id });
  return rows.length > 0;
}

export async function updateUnitArchived(tx: ClubTx, key: UnitKey, archived: boolean): Promise<void> {
  await tx
    .update(controllerUnit)
    .set({ archivedAt: archived ? sql`now()` : null })
    .where(isUnit(key));
}

/** Raises the mechanical setting by one; calibrations made before are then void. @returns what it is now */
export async function raiseMechanicalSetting(tx: ClubTx, key: UnitKey): Promise<number | null> {
  const [row] = await tx
    .update(controllerUnit)
    .set({ mechanicalSetting: sql`${controllerUnit.mechanicalSetting} + 1`, mechanicalSettingAt: sql`now()` })
    .where(isUnit(key))
    .returning({ now: controllerUnit.mechanicalSetting });
  return row?.now ?? null;
}

/** Notes that the unit was heard of; once a minute is enough. */
export async function touchUnit(tx: ClubTx, key: UnitKey): Promise<void> {
  await tx.update(controllerUnit).set({ seenAt: sql`now()` }).where(isUnit(key));
}
