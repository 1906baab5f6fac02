import { and, asc, eq, isNull, sql } from 'drizzle-orm';
import type { ClubTx } from '../../db/client.ts';
import { car, carClass, driver } from '../../db/schema/index.ts';

export type CarClass = typeof carClass.$inferSelect;
export type Car = typeof car.$inferSelect;
/** A car with the names of what belongs to it. */
export type NamedCar = Car & { className: string | null; driverNickname: string | null };

/** Car classes of a club in the order in which they were made; archived ones only on demand. */
export async function selectClasses(
  tx: ClubTx,
  clubId: string,
  with_: { archived: boolean } = { archived: false },
): Promise<CarClass[]> {
  return tx
    .select()
    .from(carClass)
    .where(and(eq(carClass.clubId, clubId), with_.archived ? undefined : isNull(carClass.archivedAt)))
    .orderBy(asc(carClass.createdAt), asc(carClass.id));
}

export async function selectOptionalClass(tx: ClubTx, clubId: string, id: string): Promise<CarClass | null> {
  const [row] = await tx
    .select()
    .from(carClass)
    .where(and(eq(carClass.clubId, clubId), eq(carClass.id, id)));
  return row ?? null;
}

export async function insertClass(tx: ClubTx, row: typeof carClass.$inferInsert): Promise<void> {
  await tx.insert(carClass).values(row);
}

export async function updateClass(tx: ClubTx, clubId: string, id: string, set: { name: string }): Promise<void> {
  await tx
    .update(carClass)
    .set(set)
    .where(and(eq(carClass.clubId, clubId), eq(carClass.id, id)));
}

export async function updateClassArchived(tx: ClubTx, clubId: string, id: string, archived: boolean): Promise<void> {
  await tx
    .update(carClass)
    .set({ archivedAt: archived ? sql`now()` : null })
    .where(and(eq(carClass.clubId, clubId), eq(carClass.id, id)));
}

/** Cars of a club in the order in which they were made; archived ones only on demand. */
export async function selectCars(
  tx: ClubTx,
  clubId: string,
  with_: { archived: boolean } = { archived: false },
): Promise<NamedCar[]> {
  const rows = await tx
    .select({ car, className: carClass.name, driverNickname: driver.nickname })
    .from(car)
    .leftJoin(carClass, and(eq(carClass.clubId, car.clubId), eq(carClass.id, car.classId)))
    .leftJoin(driver, and(eq(driver.clubId, car.clubId), eq(driver.id, car.driverId)))
    .where(and(eq(car.clubId, clubId), with_.archived ? undefined : isNull(car.archivedAt)))
    .orderBy(asc(car.createdAt), asc(car.id));
  return rows.map(({ car: row, ...names }) => ({ ...row, ...names }));
}

export async function selectOptionalCar(tx: ClubTx, clubId: string, id: string): Promise<Car | null> {
  const [row] = await tx
    .select()
    .from(car)
    .where(and(eq(car.clubId, clubId), eq(car.id, id)));
  return row ?? null;
}

export async function insertCar(tx: ClubTx, row: typeof car.$inferInsert): Promise<void> {
  await tx.insert(car).values(row);
}

export async function updateCar(
  tx: ClubTx,
  clubId: string,
  id: string,
  set: { name: string; classId: string | null; driverId: string | null },
): Promise<void> {
  await tx
    .update(car)
    .set(set)
    .where(and(eq(car.clubId, clubId), eq(car.id, id)));
}

export async function updateCarArchived(tx: ClubTx, clubId: string, id: string, archived: boolean): Promise<void> {
  await tx
    .update(car)
    .set({ archivedAt: archived ? sql`now()` : null })
    .where(and(eq(car.clubId, clubId), eq(car.id, id)));
}
