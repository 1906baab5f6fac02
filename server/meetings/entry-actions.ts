import type { ClubTx, Database } from '../../db/client.ts';
import { newId } from '../accounts/tokens.ts';
import { selectCars } from '../drivers/cars-store.ts';
import { insertDrivers, type PaceAnswers, selectDrivers, selectDriversByKeys } from '../drivers/store.ts';
import { Refusal } from '../errors.ts';
import { nameKey } from '../shared/names.ts';
import { changeNight } from './actions.ts';
import { mayDrive } from './car-choice.ts';
import { selectEntryUses } from './progress-store.ts';
import {
  deleteEntry,
  type Entry,
  insertEntries,
  markWithdrawn,
  nextMeetingIds,
  type Race,
  selectEntries,
  selectRaces,
  updateEntryCar,
} from './store.ts';

/** Drivers in one meeting. */
export const mostDrivers = 200;

/** Why a nickname is not free. */
export type NameTrouble = { name: string; trouble: 'taken' | 'archived' };

/**
 * Makes drivers of new nicknames. The caller holds the club's nicknames.
 *
 * @param names tidy, and all different
 * @returns their ids in the order of `names`; or the first nickname that is not free
 */
export async function makeDrivers(
  tx: ClubTx,
  clubId: string,
  names: readonly string[],
  answers: PaceAnswers = {},
): Promise<string[] | NameTrouble> {
  const keys = names.map(nameKey);
  const bearers = await selectDriversByKeys(tx, clubId, keys);
  for (const [i, name] of names.entries()) {
    const same = bearers.filter((driver) => driver.nicknameKey === keys[i]);
    if (same.length > 0) {
      return { name, trouble: same.every((driver) => driver.archivedAt !== null) ? 'archived' : 'taken' };
    }
  }
  const rows = names.map((nickname) => ({ clubId, id: newId(), nickname, nicknameKey: nameKey(nickname), ...answers }));
  await insertDrivers(tx, rows);
  return rows.map((row) => row.id);
}

/** Enters drivers in a race after those who are in it; who is in it already stays as they are. */
export async function enterDrivers(
  tx: ClubTx,
  race: Pick<Race, 'clubId' | 'meetingId' | 'id'>,
  driverIds: readonly string[],
  carId: string | null = null,
): Promise<void> {
  const { clubId, meetingId, id: raceId } = race;
  const entries = (await selectEntries(tx, clubId, meetingId)).filter((entry) => entry.raceId === raceId);
  const known = new Set(entries.map((entry) => entry.driverId));
  const fresh = [...new Set(driverIds)].filter((id) => !known.has(id));
  const ids = await nextMeetingIds(tx, clubId, meetingId, 'e', fresh.length);
  const last = Math.max(0, ...entries.map((entry) => entry.ordinal));
  await insertEntries(
    tx,
    fresh.map((driverId, i) => ({
      clubId,
      meetingId,
      id: ids[i] as string,
      raceId,
      ordinal: last + i + 1,
      driverId,
      carId,
    })),
  );
}

/** The race of a meeting; refuses when there is none of this id. */
export async function raceOf(tx: ClubTx, clubId: string, meetingId: string, id: string): Promise<Race> {
  const race = (await selectRaces(tx, clubId, meetingId)).find((one) => one.id === id);
  if (!race) throw new Refusal('notFound');
  return race;
}

/** Whether so many drivers may still be entered in a meeting: those who are in it, in whichever race, and new ones. */
export async function hasRoom(
  tx: ClubTx,
  clubId: string,
  meetingId: string,
  more: { driverIds: readonly string[]; names: readonly string[] },
): Promise<boolean> {
  const entries = await selectEntries(tx, clubId, meetingId);
  const drivers = new Set([...entries.map((entry) => entry.driverId), ...more.driverIds]);
  return drivers.size + more.names.length <= mostDrivers;
}

/** Enters drivers of the club, and new ones by nickname, in a race. */
export async function addEntries(
  db: Database,
  clubId: string,
  meetingId: string,
  raceId: string,
  who: { driverIds: readonly string[]; names: readonly string[] },
): Promise<'done' | 'full' | NameTrouble> {
  return changeNight(
    db,
    clubId,
    meetingId,
    async (tx) => {
      const race = await raceOf(tx, clubId, meetingId, raceId);
      const drivers = new Set((await selectDrivers(tx, clubId)).map((driver) => driver.id));
      const driverIds = who.driverIds.filter((id) => drivers.has(id));
      if (!(await hasRoom(tx, clubId, meetingId, { ...who, driverIds }))) return 'full';
      const made = await makeDrivers(tx, clubId, who.names);
      if (!Array.isArray(made)) return made;
      await enterDrivers(tx, race, [...driverIds, ...made]);
      return 'done';
    },
    { names: true },
  );
}

export type EntryChange = { act: 'car' | 'withdraw' | 'return' | 'remove'; carId: string };

/**
 * Changes one entry. An entry that a heat or a ruling names cannot be removed, only withdrawn.
 *
 * @returns the race that it belongs to
 */
export async function changeEntry(
  db: Database,
  clubId: string,
  meetingId: string,
  id: string,
  change: EntryChange,
): Promise<{ raceId: string } | 'in use'> {
  return changeNight(db, clubId, meetingId, async (tx) => {
    const entry = (await selectEntries(tx, clubId, meetingId)).find((one) => one.id === id);
    if (!entry) throw new Refusal('notFound');
    const key = { clubId, meetingId, id };
    if (change.act === 'remove') {
      if ((await selectEntryUses(tx, clubId, meetingId)).has(id)) return 'in use';
      await deleteEntry(tx, key);
    } else if (change.act === 'car') {
      await setCar(tx, entry, change.carId);
    } else {
      await markWithdrawn(tx, key, change.act === 'withdraw');
    }
    return { raceId: entry.raceId };
  });
}

/** Names the car of an entry, or none. A car that the driver may not take to this race changes nothing. */
export async function setCar(tx: ClubTx, entry: Entry, carId: string): Promise<void> {
  const race = await raceOf(tx, entry.clubId, entry.meetingId, entry.raceId);
  const car = carId === '' ? null : await choosableCar(tx, race, entry.driverId, carId);
  await updateEntryCar(tx, entry, car);
}

/** The id of a car that the driver may take to the race; refuses any other. */
export async function choosableCar(tx: ClubTx, race: Race, driverId: string, carId: string): Promise<string> {
  const cars = await selectCars(tx, race.clubId);
  if (!cars.some((car) => car.id === carId && mayDrive(car, race.classId, driverId))) throw new Refusal('malformed');
  return carId;
}
