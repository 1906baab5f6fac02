import type { ClubTx, Database } from '../../db/client.ts';
import { endSessionsOfDriver } from '../accounts/store.ts';
import { newId } from '../accounts/tokens.ts';
import { ring } from '../live/notify.ts';
import { nameKey } from '../shared/names.ts';
import { bumpPlan } from '../tracks/store.ts';
import type { TypedNickname } from './nicknames.ts';
import { selectTracksOfDriver } from './shown-store.ts';
import {
  insertDrivers,
  lockNicknames,
  type PaceAnswers,
  selectDriversByKeys,
  selectOptionalDriver,
  updateDriver,
  updateDriverArchived,
} from './store.ts';

/** Who or what bears a name already. */
export type Taken = { name: string; archived: boolean };

/**
 * Adds drivers, all or none.
 *
 * @param nicknames tidy, and all different
 * @returns the first line whose nickname is taken; null when all were added
 */
export async function addDrivers(
  db: Database,
  clubId: string,
  nicknames: readonly TypedNickname[],
  set: { public: boolean; marshals: boolean } & PaceAnswers,
): Promise<(Taken & { line: number }) | null> {
  return db.withClub(clubId, async (tx) => {
    await lockNicknames(tx, clubId);
    const keys = nicknames.map(({ nickname }) => nameKey(nickname));
    const bearers = new Map((await selectDriversByKeys(tx, clubId, keys)).map((d) => [d.nicknameKey, d]));
    for (const { line, nickname } of nicknames) {
      const bearer = bearers.get(nameKey(nickname));
      if (bearer) return { line, name: bearer.nickname, archived: bearer.archivedAt !== null };
    }
    const rows = nicknames.map(({ nickname }) => ({
      clubId,
      id: newId(),
      nickname,
      nicknameKey: nameKey(nickname),
      public: set.public,
      marshals: set.marshals,
      paceGroup: set.paceGroup ?? null,
      nightsBefore: set.nightsBefore ?? 0,
    }));
    await insertDrivers(tx, rows);
    return null;
  });
}

/** Changes a driver's nickname and whether it may be public; and, if given, whether the driver stands marshal. */
export async function changeDriver(
  db: Database,
  clubId: string,
  id: string,
  set: { nickname: string; public: boolean; marshals?: boolean } & PaceAnswers,
): Promise<{ changed: true } | { changed: false; taken: Taken | null }> {
  return db.withClub(clubId, async (tx) => {
    await lockNicknames(tx, clubId);
    const driver = await selectOptionalDriver(tx, clubId, id);
    if (!driver) return { changed: false, taken: null } as const;
    const nicknameKey = nameKey(set.nickname);
    // An imported meeting may have brought a namesake: who keeps the nickname may go on sharing it.
    if (nicknameKey !== driver.nicknameKey) {
      const [bearer] = await selectDriversByKeys(tx, clubId, [nicknameKey]);
      if (bearer) {
        const taken = { name: bearer.nickname, archived: bearer.archivedAt !== null };
        return { changed: false, taken } as const;
      }
    }
    await updateDriver(tx, clubId, id, { ...set, nicknameKey });
    await showAgain(tx, clubId, await selectTracksOfDriver(tx, clubId, id));
    return { changed: true } as const;
  });
}

/** Takes a driver out of the lists of choices, with an end to the devices signed in as this driver; or puts one back. */
export async function archiveDriver(db: Database, clubId: string, id: string, archive: boolean): Promise<void> {
  await db.withClub(clubId, async (tx) => {
    await updateDriverArchived(tx, clubId, id, archive);
    if (archive) await endSessionsOfDriver(tx, id);
  });
}

/** Makes the screens of these tracks read again, because a name on them has changed. Tracks come in order of id. */
export async function showAgain(tx: ClubTx, clubId: string, trackIds: readonly string[]): Promise<void> {
  for (const trackId of trackIds) {
    await bumpPlan(tx, clubId, trackId);
    await ring(tx, { clubId, trackId });
  }
}
