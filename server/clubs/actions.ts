import type { Database } from '../../db/client.ts';
import { sessionHours } from '../accounts/actions.ts';
import { checkSetupCode, insertInvite, insertSession, replaceSetupCode } from '../accounts/store.ts';
import { hashSecret, newId, newSecret } from '../accounts/tokens.ts';
import { slugOf } from '../shared/slug.ts';
import { defaultTrackSettings } from '../tracks/defaults.ts';
import { insertTrack, type NewLane } from '../tracks/store.ts';
import { insertClub, lockEmpty, selectOptionalFirstClub, updateClub } from './store.ts';

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
  if (!(await checkSetupCode(db, hashSecret(s.code)))) return { refused: 'code' };
  const clubId = newId();
  const slug = slugOf(s.clubName, 'club');
  const secret = newSecret();
  return db.withClub(clubId, async (tx) => {
    if (!(await lockEmpty(tx))) return { refused: 'done' } as const;
    await insertClub(tx, { id: clubId, slug, name: s.clubName, zone: s.zone });
    await insertTrack(tx, { clubId, id: newId(), name: s.trackName, ...defaultTrackSettings }, s.lanes);
    await insertSession(tx, {
      clubId,
      tokenHash: hashSecret(secret),
      role: 'director',
      label,
      driverId: null,
      meetingId: null,
      hours: directorHours,
    });
    return { slug, secret };
  });
}

/** Changes the club's name and time zone. */
export async function changeClub(db: Database, clubId: string, set: { name: string; zone: string }): Promise<void> {
  await db.withClub(clubId, (tx) => updateClub(tx, clubId, set));
}
