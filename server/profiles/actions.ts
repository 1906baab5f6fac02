import type { ClubTx, Database } from '../../db/client.ts';
import type { ProfileOrigin } from '../../db/schema/profiles.ts';
import { newId } from '../accounts/tokens.ts';
import { showAgain } from '../drivers/actions.ts';
import { selectOptionalCar } from '../drivers/cars-store.ts';
import { selectTracksOfDriver } from '../drivers/shown-store.ts';
import { selectOptionalTrack } from '../tracks/store.ts';
import { deleteChoice, deleteChoicesOf, replaceChoice } from './choices-store.ts';
import { setupHash } from './exchange/setup-hash.ts';
import { type HeatKey, updateHeatProfile } from './heats-store.ts';
import type { Profile } from './model/profile.ts';
import {
  countProfiles,
  insertProfile,
  insertVersion,
  lockDriver,
  selectOptionalProfile,
  selectOptionalProfileForUpdate,
  selectOptionalVersion,
  updateLatest,
  updateProfileArchived,
} from './store.ts';

/** A driver keeps this many profiles, archived ones counted in. */
export const mostProfiles = 200;

/** One saved state of a profile, before it has a number. The setup keeps the rules of `model/check.ts`. */
export type NewVersion = {
  setup: Profile;
  /** What the driver wrote about the change; may be empty. */
  note: string;
  /** Who saves it, as rulings are signed. */
  author: string;
  /** Where it came from; null where it was set by hand. */
  origin: ProfileOrigin | null;
};

export type NewProfile = NewVersion & {
  driverId: string;
  /** Null: any car. */
  carId: string | null;
  /** Null: any track. */
  trackId: string | null;
};

/** `full`: the driver keeps {@link mostProfiles} already. `unknown`: no such driver or track, or no car of theirs or the club's. */
export type NotCreated = 'full' | 'unknown';

/** Adds a profile with its first version; nothing is dialled in by that. */
export async function addProfile(
  tx: ClubTx,
  clubId: string,
  { driverId, carId, trackId, ...first }: NewProfile,
): Promise<{ id: string } | { refused: NotCreated }> {
  if (!(await lockDriver(tx, clubId, driverId))) return { refused: 'unknown' };
  if (carId !== null && !(await mayName(tx, clubId, carId, driverId))) return { refused: 'unknown' };
  if (trackId !== null && !(await selectOptionalTrack(tx, clubId, trackId))) return { refused: 'unknown' };
  if ((await countProfiles(tx, clubId, driverId)) >= mostProfiles) return { refused: 'full' };
  const id = newId();
  await insertProfile(tx, { clubId, id, driverId, carId, trackId });
  await insertVersion(tx, { ...first, clubId, profileId: id, version: 1, hash: setupHash(first.setup) });
  return { id };
}

/** A car of the driver's own, or one of the club: as in races. With a car its motor is told, which is its owner's affair. */
async function mayName(tx: ClubTx, clubId: string, carId: string, driverId: string): Promise<boolean> {
  const car = await selectOptionalCar(tx, clubId, carId);
  return car !== null && (car.driverId === null || car.driverId === driverId);
}

/**
 * Adds a version: every save is one, and none is ever changed.
 *
 * @param seen number of the latest version that the form showed; null where the save rests on none
 * @returns its number, also when the same form was sent twice; `conflict` with the latest number where somebody saved
 *   something else since; null for an unknown profile
 */
export async function saveVersion(
  db: Database,
  clubId: string,
  profileId: string,
  fresh: NewVersion,
  seen: number | null = null,
): Promise<{ version: number } | { conflict: number } | null> {
  return db.withClub(clubId, (tx) => addVersion(tx, clubId, profileId, fresh, seen));
}

/** The same inside a transaction of the caller. */
export async function addVersion(
  tx: ClubTx,
  clubId: string,
  profileId: string,
  fresh: NewVersion,
  seen: number | null = null,
): Promise<{ version: number } | { conflict: number } | null> {
  const profile = await selectOptionalProfileForUpdate(tx, clubId, profileId);
  if (!profile) return null;
  if (seen !== null && seen !== profile.latest) {
    const latest = await selectOptionalVersion(tx, clubId, profileId, profile.latest);
    const sentTwice = seen + 1 === profile.latest && latest !== null && isSame(latest, fresh);
    return sentTwice ? { version: profile.latest } : { conflict: profile.latest };
  }
  const version = profile.latest + 1;
  await insertVersion(tx, { ...fresh, clubId, profileId, version, hash: setupHash(fresh.setup) });
  await updateLatest(tx, clubId, profileId, version);
  return { version };
}

function isSame(latest: NewVersion & { hash: string }, fresh: NewVersion): boolean {
  const words = ({ setup, note, author }: NewVersion) => JSON.stringify([setup.name, setup.notes ?? '', note, author]);
  return latest.hash === setupHash(fresh.setup) && words(latest) === words(fresh);
}

/** Saves an earlier version once more, as the latest. Null where there is no such version. */
export async function goBack(
  tx: ClubTx,
  clubId: string,
  profileId: string,
  to: { version: number; note: string; author: string },
): Promise<{ version: number } | null> {
  const old = await selectOptionalVersion(tx, clubId, profileId, to.version);
  if (!old) return null;
  const origin: ProfileOrigin = { via: 'version', version: old.version, hash: old.hash };
  const saved = await addVersion(tx, clubId, profileId, {
    setup: old.setup,
    note: to.note,
    author: to.author,
    origin,
  });
  return saved && 'version' in saved ? saved : null;
}

/** A new profile of the same driver from a version, for another car or track. */
export async function copyProfile(
  tx: ClubTx,
  clubId: string,
  profileId: string,
  to: { version: number; name: string; carId: string | null; trackId: string | null; author: string },
): Promise<{ id: string } | { refused: NotCreated }> {
  const profile = await selectOptionalProfileForUpdate(tx, clubId, profileId);
  const old = profile && (await selectOptionalVersion(tx, clubId, profileId, to.version));
  if (!profile || !old) return { refused: 'unknown' };
  return addProfile(tx, clubId, {
    driverId: profile.driverId,
    carId: to.carId,
    trackId: to.trackId,
    setup: { ...old.setup, name: to.name },
    note: '',
    author: to.author,
    origin: { via: 'copy', from: old.setup.name, version: old.version, hash: old.hash },
  });
}

/**
 * Dials a version in: for one lane, or for every lane (null) that has none of its own. Takes the place of what the driver
 * had dialled in for the same car, track and lane, in whatever profile it stood.
 *
 * @returns false where there is no such version, or the profile is archived
 */
export async function chooseVersion(
  db: Database,
  clubId: string,
  profileId: string,
  { version, lane }: { version: number; lane: number | null },
): Promise<boolean> {
  return db.withClub(clubId, (tx) => putChoice(tx, clubId, profileId, { version, lane }));
}

/** The same inside a transaction of the caller. */
export async function putChoice(
  tx: ClubTx,
  clubId: string,
  profileId: string,
  { version, lane }: { version: number; lane: number | null },
): Promise<boolean> {
  const profile = await selectOptionalProfileForUpdate(tx, clubId, profileId);
  if (!profile || profile.archivedAt !== null) return false;
  if (!(await selectOptionalVersion(tx, clubId, profileId, version))) return false;
  const { driverId, carId, trackId } = profile;
  await lockDriver(tx, clubId, driverId);
  await replaceChoice(tx, { clubId, id: newId(), driverId, profileId, version, lane }, { carId, trackId });
  await showAgain(tx, clubId, await selectTracksOfDriver(tx, clubId, driverId));
  return true;
}

/** Takes back one choice of a profile. */
export async function dropChoice(db: Database, clubId: string, profileId: string, choiceId: string): Promise<void> {
  await db.withClub(clubId, async (tx) => {
    const profile = await selectOptionalProfileForUpdate(tx, clubId, profileId);
    if (!profile || !(await deleteChoice(tx, clubId, profileId, choiceId))) return;
    await showAgain(tx, clubId, await selectTracksOfDriver(tx, clubId, profile.driverId));
  });
}

/** Takes a profile out of the lists, and out of use; or puts it back, with nothing dialled in. */
export async function archiveProfile(db: Database, clubId: string, id: string, archive: boolean): Promise<void> {
  await db.withClub(clubId, async (tx) => {
    const profile = await selectOptionalProfileForUpdate(tx, clubId, id);
    if (!profile) return;
    await updateProfileArchived(tx, clubId, id, archive);
    if (!archive) return;
    await deleteChoicesOf(tx, clubId, id);
    await showAgain(tx, clubId, await selectTracksOfDriver(tx, clubId, profile.driverId));
  });
}

/**
 * Says with which of their versions a driver drove in a heat, or that nobody knows (null). Results stay as they are.
 *
 * @returns false where there is no such heat of this driver, or no such version
 */
export async function correctHeat(
  db: Database,
  key: HeatKey,
  of: { driverId: string; lane: number },
  used: { profileId: string; version: number } | null,
): Promise<boolean> {
  return db.withClub(key.clubId, async (tx) => {
    if (used !== null) {
      const profile = await selectOptionalProfile(tx, key.clubId, used.profileId);
      if (profile?.driverId !== of.driverId) return false;
      if (!(await selectOptionalVersion(tx, key.clubId, used.profileId, used.version))) return false;
    }
    return updateHeatProfile(tx, key, of, used);
  });
}
