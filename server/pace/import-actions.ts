import type { ClubTx, Database } from '../../db/client.ts';
import { newId } from '../accounts/tokens.ts';
import { insertClass, selectClasses } from '../drivers/cars-store.ts';
import { insertDrivers, lockNicknames, selectDrivers } from '../drivers/store.ts';
import { chunks } from '../shared/chunks.ts';
import { nameKey } from '../shared/names.ts';
import { selectTracks } from '../tracks/store.ts';
import type { FoundLaps } from './import-read.ts';
import {
  deleteImport,
  deleteUnusedClasses,
  deleteUnusedDrivers,
  insertImport,
  insertPastLaps,
  selectOptionalImport,
  updateUntold,
} from './import-store.ts';

/** Ids of what the club knows already, by the names of an import. */
export interface KnownNames {
  readonly drivers: ReadonlyMap<string, string>;
  readonly classes: ReadonlyMap<string, string>;
  readonly tracks: ReadonlyMap<string, string>;
}

/** Finds the club's drivers, classes and tracks that names of an import stand for; archived ones too. */
export async function knownNames(tx: ClubTx, clubId: string, found: FoundLaps): Promise<KnownNames> {
  const archived = { archived: true };
  const drivers = await selectDrivers(tx, clubId, archived);
  const tracks = (await selectTracks(tx, clubId, { imported: true })).filter(({ imported }) => !imported);
  const classes = await selectClasses(tx, clubId, archived);
  const names = found.drivers.map(({ driver }) => driver);
  return {
    drivers: matching(names, drivers, ({ nicknameKey }) => nicknameKey),
    classes: matching(found.classes, classes, ({ name }) => nameKey(name)),
    tracks: matching(found.tracks, tracks, ({ name }) => nameKey(name)),
  };
}

function matching<T extends { id: string; archivedAt: Date | null }>(
  names: readonly string[],
  known: readonly T[],
  keyOf: (one: T) => string,
): ReadonlyMap<string, string> {
  const ids = new Map<string, string>();
  // Of several the first one that is in use.
  const inOrder = known.toSorted((a, b) => Number(a.archivedAt !== null) - Number(b.archivedAt !== null));
  for (const one of inOrder) if (!ids.has(keyOf(one))) ids.set(keyOf(one), one.id);
  return new Map(
    names.flatMap((name) => {
      const id = ids.get(nameKey(name));
      return id === undefined ? [] : [[name, id] as const];
    }),
  );
}

/** Saves an import in one transaction: new drivers and classes, and all laps. */
export async function saveImport(db: Database, clubId: string, name: string, found: FoundLaps): Promise<void> {
  await db.withClub(clubId, async (tx) => {
    await lockNicknames(tx, clubId);
    const known = await knownNames(tx, clubId, found);
    const drivers = await makeMissingDrivers(tx, clubId, found, known);
    const classes = await makeMissingClasses(tx, clubId, found, known);
    const importId = newId();
    const { laps, nights } = found;
    const made = { drivers: [...drivers.values()], classes: [...classes.values()] };
    await insertImport(tx, { clubId, id: importId, name, rows: laps.lap.length, nights, made });
    const driverOf = new Map([...known.drivers, ...drivers]);
    const classOf = new Map([...known.classes, ...classes]);
    const heats = laps.heats.map((heat) => ({
      ...heat,
      driver: driverOf.get(heat.driver) ?? '',
      carClass: classOf.get(heat.carClass) ?? '',
      track: known.tracks.get(heat.track) ?? heat.track,
    }));
    await insertPastLaps(tx, clubId, importId, { ...laps, heats });
  });
}

async function makeMissingDrivers(tx: ClubTx, clubId: string, found: FoundLaps, known: KnownNames) {
  const made = new Map<string, string>();
  const rows = [];
  for (const { driver, group, nightsBefore } of found.drivers) {
    const id = known.drivers.get(driver);
    if (id !== undefined) {
      if (group !== null || nightsBefore > 0) await updateUntold(tx, clubId, id, { group, nightsBefore });
      continue;
    }
    const fresh = newId();
    made.set(driver, fresh);
    // Nobody was asked whether these names may be seen by everybody.
    const shown = { public: false, paceGroup: group, nightsBefore };
    rows.push({ clubId, id: fresh, nickname: driver, nicknameKey: nameKey(driver), ...shown });
  }
  for (const some of chunks(rows, 1000)) await insertDrivers(tx, some);
  return made;
}

async function makeMissingClasses(tx: ClubTx, clubId: string, found: FoundLaps, known: KnownNames) {
  const made = new Map<string, string>();
  for (const name of found.classes) {
    if (known.classes.has(name)) continue;
    const id = newId();
    await insertClass(tx, { clubId, id, name });
    made.set(name, id);
  }
  return made;
}

/**
 * Takes an import out whole, with the drivers and classes that came with it and that nothing else names.
 *
 * @returns whether it was there
 */
export async function removeImport(db: Database, clubId: string, id: string): Promise<boolean> {
  return db.withClub(clubId, async (tx) => {
    await lockNicknames(tx, clubId);
    const found = await selectOptionalImport(tx, clubId, id);
    if (!found) return false;
    await deleteImport(tx, found);
    await deleteUnusedDrivers(tx, clubId, found.made.drivers);
    await deleteUnusedClasses(tx, clubId, found.made.classes);
    return true;
  });
}
