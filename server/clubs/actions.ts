import type { ClubTx, Database } from '../../db/client.ts';
import { sessionHours } from '../accounts/actions.ts';
import { checkSetupCode, insertInvite, insertSession, replaceSetupCode } from '../accounts/store.ts';
import { hashSecret, newId, newSecret } from '../accounts/tokens.ts';
import { slugOf } from '../shared/slug.ts';
import { defaultTrackSettings } from '../tracks/defaults.ts';
import { insertTrack, type NewLane } from '../tracks/store.ts';
import type { DrawPreset } from './draw-preset.ts';
import { insertClub, lockEmpty, selectOptionalFirstClub, updateClub, updateDrawPreset } from './store.ts';

/** How long a director stays signed in. */
export const directorHours = sessionHours.director;
const setupMinutes = 30;

/**
 * A fresh one-time link for whoever started the program: it sets up the first club, or, once there is one, signs a
 * director in. Earlier set-up links die.
 *
 * @returns the path with its code
 */
export async function freshSetupPath(db: Database): Promise<string> {
  const code = newSecret();
  const club = await selectOptionalFirstClub(db);
  if (!club) {
    await replaceSetupCode(db, hashSecret(code), setupMinutes);
    return `/setup?code=${code}`;
  }
  await db.withClub(club.id, (tx) =>
    insertInvite(tx, { clubId: club.id, codeHash: hashSecret(code), role: 'director', minutes: setupMinutes }),
  );
  return `/c/${club.slug}/enter?code=${code}`;
}

/** The first club of a database. */
export type FirstClub = { name: string; zone: string; sample: boolean };

/**
 * How a first club comes in: by the set-up code, which signs its director in under a label, or by somebody who is at
 * the terminal and signs in later.
 */
export type Admission = { code: string; label: string } | 'trusted';

/**
 * Makes the first club and what belongs to it, whole or not at all.
 *
 * @param furnish puts in what the club has; runs in the same transaction
 * @returns the club's address and, with a code, its director's cookie; or why not: the code is wrong, or a club is there
 */
export async function makeFirstClub(
  db: Database,
  admission: Admission,
  { name, zone, sample }: FirstClub,
  furnish: (tx: ClubTx, clubId: string) => Promise<void>,
): Promise<{ slug: string; secret: string } | { refused: 'code' | 'done' }> {
  if (admission !== 'trusted' && !(await checkSetupCode(db, hashSecret(admission.code)))) return { refused: 'code' };
  const clubId = newId();
  const slug = slugOf(name, 'club');
  const secret = newSecret();
  return db.withClub(clubId, async (tx) => {
    if (!(await lockEmpty(tx))) return { refused: 'done' } as const;
    await insertClub(tx, { id: clubId, slug, name, zone, sample });
    await furnish(tx, clubId);
    if (admission !== 'trusted') {
      await insertSession(tx, {
        clubId,
        tokenHash: hashSecret(secret),
        role: 'director',
        label: admission.label,
        driverId: null,
        meetingId: null,
        hours: directorHours,
      });
    }
    return { slug, secret };
  });
}

export type SetUp = { clubName: string; zone: string; trackName: string; lanes: NewLane[]; code: string };

/**
 * Sets up the first club, with one track, and signs its director in.
 *
 * @returns the new club's slug and the director's cookie; or why not: the code is wrong, or a club is there already
 */
export async function setUpClub(
  db: Database,
  label: string,
  s: SetUp,
): Promise<{ slug: string; secret: string } | { refused: 'code' | 'done' }> {
  const club = { name: s.clubName, zone: s.zone, sample: false };
  return makeFirstClub(db, { code: s.code, label }, club, (tx, clubId) =>
    insertTrack(tx, { clubId, id: newId(), name: s.trackName, ...defaultTrackSettings }, s.lanes),
  );
}

/** Changes the club's name and time zone. */
export async function changeClub(db: Database, clubId: string, set: { name: string; zone: string }): Promise<void> {
  await db.withClub(clubId, (tx) => updateClub(tx, clubId, set));
}

/** Remembers what the next draws of this club weigh first. */
export async function setDrawPreset(db: Database, clubId: string, preset: DrawPreset): Promise<void> {
  await db.withClub(clubId, (tx) => updateDrawPreset(tx, clubId, preset));
}
