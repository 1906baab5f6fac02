import type { Database } from '../../db/client.ts';
import { newId } from '../accounts/tokens.ts';
import { nameKey } from '../shared/names.ts';
import { showAgain, type Taken } from './actions.ts';
import {
  insertCar,
  insertClass,
  selectClasses,
  selectOptionalCar,
  selectOptionalClass,
  updateCar,
  updateCarArchived,
  updateClass,
  updateClassArchived,
} from './cars-store.ts';
import { selectTracksOfCar, selectTracksOfClass } from './shown-store.ts';
import { lockNicknames, selectOptionalDriver } from './store.ts';

/**
 * Adds a car class, or renames one.
 *
 * @param id null for a new class
 * @returns the class that bears the name already; `missing` when there is no such class; null when it was done
 */
export async function saveClass(
  db: Database,
  clubId: string,
  id: string | null,
  name: string,
): Promise<{ taken: Taken } | 'missing' | null> {
  return db.withClub(clubId, async (tx) => {
    await lockNicknames(tx, clubId);
    if (id !== null && !(await selectOptionalClass(tx, clubId, id))) return 'missing';
    const all = await selectClasses(tx, clubId, { archived: true });
    const namesake = all.find((one) => one.id !== id && nameKey(one.name) === nameKey(name));
    if (namesake) return { taken: { name: namesake.name, archived: namesake.archivedAt !== null } };
    if (id === null) {
      await insertClass(tx, { clubId, id: newId(), name });
    } else {
      await updateClass(tx, clubId, id, { name });
      await showAgain(tx, clubId, await selectTracksOfClass(tx, clubId, id));
    }
    return null;
  });
}

export async function archiveClass(db: Database, clubId: string, id: string, archive: boolean): Promise<void> {
  await db.withClub(clubId, (tx) => updateClassArchived(tx, clubId, id, archive));
}

/** A car as somebody described it. */
export type CarChange = { name: string; classId: string | null; driverId: string | null };

/**
 * Adds a car, or changes one.
 *
 * @param id null for a new car
 * @returns what there is not: the car, its class or its driver; null when it was done
 */
export async function saveCar(
  db: Database,
  clubId: string,
  id: string | null,
  change: CarChange,
): Promise<'car' | 'carClass' | 'driver' | null> {
  return db.withClub(clubId, async (tx) => {
    if (change.classId !== null && !(await selectOptionalClass(tx, clubId, change.classId))) return 'carClass';
    if (change.driverId !== null && !(await selectOptionalDriver(tx, clubId, change.driverId))) return 'driver';
    if (id === null) {
      await insertCar(tx, { clubId, id: newId(), ...change });
      return null;
    }
    if (!(await selectOptionalCar(tx, clubId, id))) return 'car';
    await updateCar(tx, clubId, id, change);
    await showAgain(tx, clubId, await selectTracksOfCar(tx, clubId, id));
    return null;
  });
}

export async function archiveCar(db: Database, clubId: string, id: string, archive: boolean): Promise<void> {
  await db.withClub(clubId, (tx) => updateCarArchived(tx, clubId, id, archive));
}
