import type { ClubTx, Database } from '../../db/client.ts';
import { newId, newSecret } from '../accounts/tokens.ts';
import { insertCar, insertClass, selectCars, selectClasses } from '../drivers/cars-store.ts';
import { insertDrivers, lockNicknames, selectDriversByKeys } from '../drivers/store.ts';
import { insertHeatFacts } from '../heats/store.ts';
import { insertEntries, insertMeeting, insertRace } from '../meetings/store.ts';
import { keepMeeting } from '../night/recount-actions.ts';
import type { MeetingFacts, Race } from '../results/meeting-facts.ts';
import { selectOptionalStoredMeeting } from '../results/store.ts';
import { insertHeats } from '../rotation/store.ts';
import { chunks } from '../shared/chunks.ts';
import { nameKey } from '../shared/names.ts';
import { insertTrack, type NewLane, takeFactNumbers } from '../tracks/store.ts';
import { type BeyondLimits, beyondLimits } from './limits.ts';
import { readLog } from './log-read.ts';
import { matchDrivers } from './match-drivers.ts';
import type { LogRefusal } from './refusal.ts';
import { insertImportedCrossings, insertImportedDevices } from './store.ts';

/** Colour and pattern of a lane by its number: a log says nothing about them. */
export type LaneLookOf = (lane: number) => Pick<NewLane, 'colour' | 'pattern'>;

export type Imported = { meetingId: string } | { refusal: LogRefusal } | { beyond: BeyondLimits };

/**
 * Takes a meeting log in as a meeting of the club, whole or not at all. Its track becomes a track of its own, which
 * nothing else is run on; drivers, classes and cars are those of the club where their names say so. The results of the
 * meeting are those of the log, byte for byte.
 *
 * @param bytes of the log
 * @returns the new meeting, or why nothing was taken in
 */
export async function importLog(
  db: Database,
  clubId: string,
  bytes: Uint8Array,
  lookOf: LaneLookOf,
): Promise<Imported> {
  const { facts, refusal } = readLog(bytes);
  if (refusal) return { refusal };
  const beyond = beyondLimits(facts);
  if (beyond) return { beyond };
  return db.withClub(clubId, async (tx) => {
    const meetingId = newId();
    const trackId = newId();
    await putTrack(tx, { clubId, trackId }, facts, lookOf);
    await insertImportedDevices(tx, { clubId, trackId }, facts.devices);
    await storeMeeting(tx, { clubId, trackId, meetingId }, facts);
    return { meetingId };
  });
}

type TrackKey = { clubId: string; trackId: string };
type MeetingKey = { clubId: string; meetingId: string };

/**
 * Adds a meeting with all its facts, laps and standings to a track that has its devices already; the facts are numbered
 * after those of the track. Drivers, classes and cars are those of the club where their names say so.
 */
export async function storeMeeting(tx: ClubTx, key: TrackKey & MeetingKey, facts: MeetingFacts): Promise<void> {
  await putMeeting(tx, key, facts);
  await putPlan(tx, { clubId: key.clubId, meetingId: key.meetingId }, facts);
  await putFacts(tx, key, facts);
  const stored = await selectOptionalStoredMeeting(tx, key.clubId, key.meetingId);
  if (stored) await keepMeeting(tx, stored);
}

async function putTrack(
  tx: ClubTx,
  { clubId, trackId }: TrackKey,
  { track }: MeetingFacts,
  lookOf: LaneLookOf,
): Promise<void> {
  const { name, start: startMode, holdRollUs, endRollUs, lanes } = track;
  await insertTrack(
    tx,
    { clubId, id: trackId, name, startMode, holdRollUs, endRollUs, imported: true },
    lanes.map(({ lane: number, lengthMm, minLapUs }) => ({ number, lengthMm, minLapUs, ...lookOf(number) })),
  );
}

async function putMeeting(
  tx: ClubTx,
  { clubId, trackId, meetingId }: TrackKey & MeetingKey,
  { meeting, track }: MeetingFacts,
): Promise<void> {
  const { name: trackName, start: startMode, holdRollUs, endRollUs, lanes } = track;
  const trackSettings = { startMode, holdRollUs, endRollUs, lanes: lanes.map((lane) => ({ ...lane })) };
  // 132 random bits: the address of public results cannot be guessed.
  const publicCode = newSecret().slice(0, 22);
  await insertMeeting(tx, { clubId, id: meetingId, trackId, ...meeting, trackName, trackSettings, publicCode });
}

/** Drivers, classes, races, cars, entries and heats. */
async function putPlan(tx: ClubTx, key: MeetingKey, facts: MeetingFacts): Promise<void> {
  const driverIds = await putDrivers(tx, key.clubId, facts);
  const classIds = await putClasses(tx, key.clubId, facts);
  const classOfRace = (race: Race) => classIds.get(race.carClass) as string;
  for (const [i, race] of facts.races.entries()) {
    const { id, name, minLapUs, missing, standingFastest, heatsPerEntry, format } = race;
    const { kind, ...length } = format;
    const shape = { format: kind, ...length, minLapUs, missing, standingFastest, heatsPerEntry };
    await insertRace(tx, { ...key, id, name, ordinal: i + 1, classId: classOfRace(race), ...shape });
  }
  const raceClass = new Map(facts.races.map((race) => [race.id, classOfRace(race)]));
  const carId = await carFinder(tx, key.clubId);
  const entries = [];
  for (const [i, { id, race, driver, car }] of facts.entries.entries()) {
    const driverId = driverIds.get(driver) as string;
    const classId = raceClass.get(race) as string;
    const own = car === '' ? null : await carId({ driverId, name: car, classId });
    entries.push({ ...key, id, raceId: race, ordinal: i + 1, driverId, carId: own });
  }
  for (const some of chunks(entries, 1000)) await insertEntries(tx, some);
  // A heat has at most a hundred lanes and marshals of six columns each: a hundred heats fit into one statement.
  for (const some of chunks(facts.heats, 100)) {
    const rows = some.map(({ race, lanes, marshals, ...heat }) => ({
      ...heat,
      raceId: race,
      lanes: lanes.map(({ lane, entry, delayMs }) => ({ lane, entryId: entry, delayMs })),
      marshals: [...marshals],
    }));
    await insertHeats(tx, key.clubId, key.meetingId, rows);
  }
}

/** @returns the club's driver by the log's driver */
async function putDrivers(tx: ClubTx, clubId: string, { drivers }: MeetingFacts): Promise<Map<string, string>> {
  await lockNicknames(tx, clubId);
  const known = [];
  for (const some of chunks(drivers, 1000)) {
    const keys = some.map(({ nickname }) => nameKey(nickname));
    known.push(...(await selectDriversByKeys(tx, clubId, [...new Set(keys)])));
  }
  const ids = matchDrivers(drivers, [...new Map(known.map((driver) => [driver.id, driver])).values()]);
  const fresh = drivers.flatMap(({ id, nickname }) => {
    if (ids.has(id)) return [];
    const own = newId();
    ids.set(id, own);
    return [{ clubId, id: own, nickname, nicknameKey: nameKey(nickname) }];
  });
  for (const some of chunks(fresh, 1000)) await insertDrivers(tx, some);
  return ids;
}

/** @returns the club's class by its name */
async function putClasses(tx: ClubTx, clubId: string, { races }: MeetingFacts): Promise<Map<string, string>> {
  const known = await selectClasses(tx, clubId, { archived: true });
  // Of two classes of one name the older one is meant.
  const ids = new Map(known.toReversed().map(({ id, name }) => [name, id]));
  for (const { carClass } of races) {
    if (ids.has(carClass)) continue;
    const id = newId();
    ids.set(carClass, id);
    await insertClass(tx, { clubId, id, name: carClass });
  }
  return ids;
}

type WantedCar = { driverId: string; name: string; classId: string };

/** Finds a driver's car by its name, or adds it. */
async function carFinder(tx: ClubTx, clubId: string): Promise<(car: WantedCar) => Promise<string>> {
  const keyOf = (driverId: string | null, name: string) => JSON.stringify([driverId, name]);
  const known = await selectCars(tx, clubId, { archived: true });
  const ids = new Map(known.toReversed().map(({ id, driverId, name }) => [keyOf(driverId, name), id]));
  return async (wanted) => {
    const key = keyOf(wanted.driverId, wanted.name);
    const found = ids.get(key);
    if (found) return found;
    const id = newId();
    ids.set(key, id);
    await insertCar(tx, { clubId, id, ...wanted });
    return id;
  };
}

/** Crossings, events and rulings, numbered in the order in which a log is written. */
async function putFacts(tx: ClubTx, key: TrackKey & MeetingKey, facts: MeetingFacts): Promise<void> {
  const track = { clubId: key.clubId, trackId: key.trackId };
  const { crossings, journal } = facts;
  const first = await takeFactNumbers(tx, key.clubId, key.trackId, crossings.length + journal.length);
  if (first === null) throw new Error(`there is no track ${key.trackId}`);
  await insertImportedCrossings(
    tx,
    track,
    crossings.map((crossing, i) => ({ ...crossing, factNo: first + i })),
  );
  const rows = journal.map(({ heat, fact }, i) => ({
    place: { ...key, heatId: heat, factNo: first + crossings.length + i },
    fact,
  }));
  for (const some of chunks(rows, 1000)) await insertHeatFacts(tx, some);
}
