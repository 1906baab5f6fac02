import { randomBytes } from 'node:crypto';
import type { ClubTx, Database } from '../../db/client.ts';
import { newId } from '../accounts/tokens.ts';
import { type KeptProfile, selectOptionalVersion } from '../profiles/store.ts';
import { closeShare, countShares, insertShare, lockShares, type Share, selectEntriesOf } from './store.ts';

/** Links and entries that can be read, in one club. */
export const mostShares = 2_000;

/** 144 random bits in 24 base64url characters: short enough for a small QR symbol, far too many to guess. */
const newShareCode = (): string => randomBytes(18).toString('base64url');

/** Why nothing was shared: {@link mostShares} are already; no such version; it is in the library already. */
export type NotShared = 'full' | 'unknown' | 'twice';

export interface NewLink {
  version: number;
  /** The owner's shown name, or null for none. */
  author: string | null;
  /** Last day, `YYYY-MM-DD` in the club's zone; null for no end. */
  endsOn: string | null;
  /** The day on which it is shared, `YYYY-MM-DD` in the club's zone. */
  today: string;
}

/** Makes a copy of a version that anyone who has its link can read. */
export async function openLink(
  tx: ClubTx,
  profile: KeptProfile,
  clubId: string,
  { today, ...link }: NewLink,
): Promise<{ code: string } | { refused: NotShared }> {
  const code = newShareCode();
  const refused = await putCopy(tx, clubId, profile, today, { ...link, code });
  return refused ? { refused } : { code };
}

/** Puts a copy of a version into the club's library. */
export async function publish(
  tx: ClubTx,
  profile: KeptProfile,
  clubId: string,
  { today, ...entry }: Omit<NewLink, 'endsOn'>,
): Promise<{ id: string } | { refused: NotShared }> {
  await lockShares(tx, clubId);
  const already = await selectEntriesOf(tx, clubId, profile.id);
  if (already.some(({ version }) => version === entry.version)) return { refused: 'twice' };
  const id = newId();
  const refused = await putCopy(tx, clubId, profile, today, { ...entry, id, code: null, endsOn: null });
  return refused ? { refused } : { id };
}

async function putCopy(
  tx: ClubTx,
  clubId: string,
  profile: KeptProfile,
  today: string,
  copy: { id?: string; version: number; author: string | null; endsOn: string | null; code: string | null },
): Promise<NotShared | null> {
  await lockShares(tx, clubId);
  if ((await countShares(tx, clubId, today)) >= mostShares) return 'full';
  const version = await selectOptionalVersion(tx, clubId, profile.id, copy.version);
  if (!version) return 'unknown';
  const { carName, className } = profile;
  const { setup, hash } = version;
  await insertShare(tx, {
    id: newId(),
    ...copy,
    clubId,
    profileId: profile.id,
    setup: setup as Share['setup'],
    hash,
    carName,
    className,
    sharedOn: today,
  });
  return null;
}

/** Takes a link or an entry of the library back. @returns whether there was one */
export async function takeBack(db: Database, clubId: string, profileId: string, id: string): Promise<boolean> {
  return db.withClub(clubId, (tx) => closeShare(tx, clubId, profileId, id));
}
