import type { ClubTx, Database } from '../../db/client.ts';
import { sessionHours } from '../accounts/actions.ts';
import { endSession, insertSession, moveSession, selectSessions } from '../accounts/store.ts';
import { hashSecret, newSecret } from '../accounts/tokens.ts';
import { selectCars } from '../drivers/cars-store.ts';
import { type PaceAnswers, selectDriversByKeys, selectOptionalDriver, updateDriver } from '../drivers/store.ts';
import { Refusal } from '../errors.ts';
import { nameKey } from '../shared/names.ts';
import { changeNight } from './actions.ts';
import { mayDrive } from './car-choice.ts';
import { enterDrivers, hasRoom, makeDrivers, setCar } from './entry-actions.ts';
import { markWithdrawn, type Race, selectEntries, selectRaces } from './store.ts';

/** How long a driver stays signed in: to the end of the night. */
export const driverHours = sessionHours.driver;

export type Joining = {
  code: string;
  driverId: string;
  /** Comes before `driverId`. */
  nickname: string | null;
  /** Of a new driver. */
  paceAnswers: PaceAnswers;
  /** The session of this browser, if a driver is signed in there already. */
  session: { readonly tokenHash: string; readonly driverId: string | null } | null;
  /** The races to enter, with the car in each; the empty id is no car named. */
  races: readonly { id: string; carId: string }[];
};

export type JoinTrouble =
  | 'code'
  | 'full'
  | 'name taken'
  | 'name missing'
  | 'driver taken'
  | 'race missing'
  /** The car belongs to another driver or another class. */
  | { carIn: string };

/**
 * Drivers whom nobody may join as any more: they have joined this meeting, or another browser is signed in as them, which
 * may be their own device with all their profiles. A code on the wall is no proof of who somebody is.
 *
 * @param asking session of the browser that asks; null for one that is not signed in
 */
export async function driversTaken(
  tx: ClubTx,
  meetingId: string,
  asking: { readonly tokenHash: string } | null,
): Promise<ReadonlySet<string>> {
  const sessions = await selectSessions(tx);
  const taken = sessions.filter((one) => one.meetingId === meetingId || one.tokenHash !== asking?.tokenHash);
  return new Set(taken.flatMap(({ driverId }) => driverId ?? []));
}

/**
 * Lets somebody with the code into a meeting: as a driver of the club or as a new one, into the races they choose, and
 * signs their browser in for the night. Whoever the director entered before may choose no further race.
 *
 * A browser that is the driver's own already stays signed in as long as it was.
 *
 * @returns the secret of a new cookie, null where the one they have stays; or what stands in the way, and nothing was changed
 */
export async function joinMeeting(
  db: Database,
  clubId: string,
  meetingId: string,
  joining: Joining,
): Promise<{ secret: string | null } | JoinTrouble> {
  return changeNight(
    db,
    clubId,
    meetingId,
    async (tx, meeting) => {
      if (meeting.joinCode === null || meeting.joinCode !== joining.code || meeting.archivedAt !== null) return 'code';
      const all = await selectRaces(tx, clubId, meetingId);
      const chosen = joining.races.flatMap(({ id, carId }) => {
        const race = all.find((one) => one.id === id);
        return race ? [{ race, carId }] : [];
      });
      const trouble = await joinTrouble(tx, clubId, meetingId, joining, chosen);
      if (trouble) return trouble;
      const driver = await joiningDriver(tx, clubId, joining);
      if (typeof driver === 'string') return driver;
      for (const { race, carId } of chosen) await enterDrivers(tx, race, [driver.id], carId === '' ? null : carId);
      const { session } = joining;
      if (session) {
        const own = { tokenHash: session.tokenHash, driverId: driver.id, meetingId, hours: driverHours };
        if (await moveSession(tx, own)) return { secret: null };
        await endSession(tx, session.tokenHash);
      }
      const secret = newSecret();
      await insertSession(tx, {
        clubId,
        tokenHash: hashSecret(secret),
        role: 'driver',
        label: driver.nickname,
        driverId: driver.id,
        meetingId,
        hours: driverHours,
      });
      return { secret };
    },
    { names: true },
  );
}

async function joinTrouble(
  tx: ClubTx,
  clubId: string,
  meetingId: string,
  joining: Joining,
  chosen: readonly { race: Race; carId: string }[],
): Promise<JoinTrouble | null> {
  const { nickname, driverId, session } = joining;
  if (nickname === null && driverId === '') return 'name missing';
  const entries = await selectEntries(tx, clubId, meetingId);
  const entered = nickname === null && entries.some((entry) => entry.driverId === driverId);
  if (chosen.length === 0 && !entered) return 'race missing';
  if (nickname === null && (await driversTaken(tx, meetingId, session)).has(driverId)) return 'driver taken';
  const cars = await selectCars(tx, clubId);
  const notTheirs = chosen.find(
    ({ race, carId }) =>
      carId !== '' &&
      !cars.some((car) => car.id === carId && mayDrive(car, race.classId, nickname === null ? driverId : null)),
  );
  if (notTheirs) return { carIn: notTheirs.race.id };
  const more = nickname === null ? { driverIds: [driverId], names: [] } : { driverIds: [], names: [nickname] };
  return (await hasRoom(tx, clubId, meetingId, more)) ? null : 'full';
}

async function joiningDriver(
  tx: ClubTx,
  clubId: string,
  { nickname, driverId, paceAnswers }: Joining,
): Promise<{ id: string; nickname: string } | 'name taken' | 'name missing'> {
  if (nickname === null) {
    const driver = await selectOptionalDriver(tx, clubId, driverId);
    return driver && driver.archivedAt === null ? driver : 'name missing';
  }
  const made = await makeDrivers(tx, clubId, [nickname], paceAnswers);
  const [id] = Array.isArray(made) ? made : [];
  return id === undefined ? 'name taken' : { id, nickname };
}

/**
 * Changes a driver's own nickname, and whether they had raced before.
 *
 * @param nightsBefore null where they did not say
 */
export async function renameSelf(
  db: Database,
  clubId: string,
  meetingId: string,
  driverId: string,
  nickname: string,
  nightsBefore: number | null = null,
): Promise<'done' | 'name taken'> {
  return changeNight(
    db,
    clubId,
    meetingId,
    async (tx) => {
      const driver = await selectOptionalDriver(tx, clubId, driverId);
      if (!driver) throw new Refusal('notFound');
      const nicknameKey = nameKey(nickname);
      // An imported meeting may have brought a namesake: who keeps the nickname may go on sharing it.
      if (nicknameKey !== driver.nicknameKey && (await selectDriversByKeys(tx, clubId, [nicknameKey])).length > 0) {
        return 'name taken';
      }
      // The same answer in other words: the director may know the number of nights better.
      const isSame = nightsBefore === null || nightsBefore > 0 === driver.nightsBefore > 0;
      const answers = isSame ? {} : { nightsBefore };
      await updateDriver(tx, clubId, driverId, { nickname, nicknameKey, public: driver.public, ...answers });
      return 'done';
    },
    { names: true },
  );
}

export type OwnChange = { act: 'car' | 'withdraw' | 'return' | 'enter'; id: string; carId: string };

/** Changes an entry of the driver's own, or enters them in one more race. Anybody else's entry is not found. */
export async function changeOwnEntry(
  db: Database,
  clubId: string,
  meetingId: string,
  driverId: string,
  change: OwnChange,
): Promise<void> {
  await changeNight(db, clubId, meetingId, async (tx) => {
    if (change.act === 'enter') {
      const race = (await selectRaces(tx, clubId, meetingId)).find((one) => one.id === change.id);
      if (!race) throw new Refusal('notFound');
      return enterDrivers(tx, race, [driverId]);
    }
    const entries = await selectEntries(tx, clubId, meetingId);
    const entry = entries.find((one) => one.id === change.id && one.driverId === driverId);
    if (!entry) throw new Refusal('notFound');
    return change.act === 'car'
      ? setCar(tx, entry, change.carId)
      : markWithdrawn(tx, { clubId, meetingId, id: entry.id }, change.act === 'withdraw');
  });
}
