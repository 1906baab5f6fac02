import type { Database } from '../../db/client.ts';
import { exchange } from '../../views/texts/en/exchange.ts';
import { type Club, selectOptionalClubById } from '../clubs/store.ts';
import type { ReadProfile } from '../profiles/exchange/shared-file.ts';
import { isEntryId, isLinkCode, readSource, type Source } from './received.ts';
import { type Share, selectOptionalEntry, selectOptionalShareByCode } from './store.ts';

/** Today in a time zone, `YYYY-MM-DD`. */
export type Today = (zone: string) => string;

/** A link that can be read today, with its club; null where it was taken back, has ended or never was. */
export async function selectOptionalOpenLink(
  db: Database,
  code: string,
  today: Today,
): Promise<{ share: Share; club: Club } | null> {
  const share = isLinkCode(code) ? await selectOptionalShareByCode(db, code) : null;
  if (!share?.open) return null;
  const club = await selectOptionalClubById(db, share.clubId);
  if (!club || (share.endsOn !== null && share.endsOn < today(club.zone))) return null;
  return { share, club };
}

/** A profile that somebody is about to take. */
export interface Received extends ReadProfile {
  readonly source: Source;
  /** Whose it was, as shown; null where the source does not say. */
  readonly author: string | null;
  /** Its version there. */
  readonly version: number | null;
  /** Name of the car that it was made for. */
  readonly carName: string | null;
}

/**
 * Reads a profile from where it is.
 *
 * @returns null for a link or an entry that cannot be read any more
 * @throws ExchangeProblem for a code or file that is not right
 */
export async function selectOptionalReceived(
  db: Database,
  clubId: string,
  source: Source,
  today: Today,
): Promise<Received | null> {
  const { kind, value } = source;
  if (kind === 'code' || kind === 'file') {
    return { source, author: null, version: null, carName: null, ...readSource({ kind, value }, exchange.unnamed) };
  }
  const share =
    kind === 'link'
      ? (await selectOptionalOpenLink(db, value, today))?.share
      : isEntryId(value) && (await db.readClub(clubId, (tx) => selectOptionalEntry(tx, clubId, value)));
  if (!share) return null;
  const { setup, hash, author, version, carName } = share;
  return { source, author, version, carName, profile: setup, hash };
}
