import type { Database } from '../../db/client.ts';
import type { Role } from './roles.ts';
import { consumeInvite, deleteOldSessions, endSession, insertInvite, insertSession, lockLabels } from './store.ts';
import { hashSecret, newSecret } from './tokens.ts';

/** How long each role stays signed in: a director for a day, the others for a night. */
export const sessionHours: Record<Role, number> = { director: 24, timekeeper: 12, driver: 12 };

/** How long an invitation waits to be scanned. */
export const inviteMinutes = 10;

/**
 * Uses a one-time link up and signs its browser in.
 *
 * @param labelOf how the rulings of the first, second, … person of a role are signed
 * @returns the cookie's secret; null when the link is unknown, used or has run out
 */
export async function enter(
  db: Database,
  clubId: string,
  code: string,
  labelOf: (role: Role, number: number) => string,
): Promise<{ secret: string; role: Role } | null> {
  const secret = newSecret();
  return db.withClub(clubId, async (tx) => {
    const role = await consumeInvite(tx, hashSecret(code));
    if (!role) return null;
    await deleteOldSessions(tx);
    const taken = await lockLabels(tx);
    let number = 1;
    while (taken.has(labelOf(role, number))) number += 1;
    await insertSession(tx, {
      clubId,
      tokenHash: hashSecret(secret),
      role,
      label: labelOf(role, number),
      driverId: null,
      meetingId: null,
      hours: sessionHours[role],
    });
    return { secret, role };
  });
}

/** Ends a session: its cookie opens nothing any more. */
export async function leave(db: Database, clubId: string, tokenHash: string): Promise<void> {
  await db.withClub(clubId, (tx) => endSession(tx, tokenHash));
}

/** Makes a one-time link for another device. Returns its code, shown once and stored hashed. */
export async function invite(db: Database, clubId: string, role: 'director' | 'timekeeper'): Promise<string> {
  const code = newSecret();
  await db.withClub(clubId, (tx) =>
    insertInvite(tx, { clubId, codeHash: hashSecret(code), role, minutes: inviteMinutes }),
  );
  return code;
}
