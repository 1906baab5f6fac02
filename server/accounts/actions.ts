import type { Database } from '../../db/client.ts';
import type { Role } from './roles.ts';
import {
  consumeInvite,
  deleteOldSessions,
  endSession,
  insertInvite,
  insertSession,
  lockLabels,
  selectOptionalDriverName,
} from './store.ts';
import { hashSecret, newSecret } from './tokens.ts';

/** How long each role stays signed in: a director for a day, the others for a night. */
export const sessionHours: Record<Role, number> = { director: 24, timekeeper: 12, driver: 12 };

/** How long a driver's own device stays signed in: half a year, so that settings are there between nights. */
export const ownDeviceHours = 180 * 24;

/** Whether a session is that of a driver's own device: one that came by a link lasts longer than any of a night. */
export function isOwnDevice({
  role,
  createdAt,
  expiresAt,
}: {
  role: string;
  createdAt: Date;
  expiresAt: Date;
}): boolean {
  return role === 'driver' && expiresAt.getTime() - createdAt.getTime() > sessionHours.driver * 3_600_000;
}

/** How long an invitation waits to be scanned. */
export const inviteMinutes = 10;

/** A browser that was just signed in, with its cookie's secret. */
export type Entered = { secret: string; role: Role; hours: number };

/**
 * Uses a one-time link up and signs its browser in.
 *
 * @param labelOf how the rulings of the first, second, … person of a role are signed; drivers sign with their nickname
 * @param before the session that this browser had; it ends, as its cookie is replaced
 * @returns null when the link is unknown, used or has run out, or its driver was archived
 */
export async function enter(
  db: Database,
  clubId: string,
  code: string,
  labelOf: (role: Role, number: number) => string,
  before: string | null,
): Promise<Entered | null> {
  const secret = newSecret();
  return db.withClub(clubId, async (tx) => {
    const invited = await consumeInvite(tx, hashSecret(code));
    if (!invited) return null;
    const { role, driverId } = invited;
    await deleteOldSessions(tx);
    const taken = await lockLabels(tx);
    const label = driverId === null ? freeLabel(role, taken, labelOf) : await selectOptionalDriverName(tx, driverId);
    if (label === null) return null;
    if (before !== null) await endSession(tx, before);
    const hours = driverId === null ? sessionHours[role] : ownDeviceHours;
    await insertSession(tx, { clubId, tokenHash: hashSecret(secret), role, label, driverId, meetingId: null, hours });
    return { secret, role, hours };
  });
}

function freeLabel(role: Role, taken: ReadonlySet<string>, labelOf: (role: Role, number: number) => string): string {
  let number = 1;
  while (taken.has(labelOf(role, number))) number += 1;
  return labelOf(role, number);
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

/**
 * Makes a one-time link for a driver's own device.
 *
 * @returns its code, shown once and stored hashed, and whose it is; null for an unknown or archived driver
 */
export async function inviteDriver(
  db: Database,
  clubId: string,
  driverId: string,
): Promise<{ code: string; nickname: string } | null> {
  const code = newSecret();
  return db.withClub(clubId, async (tx) => {
    const nickname = await selectOptionalDriverName(tx, driverId);
    if (nickname === null) return null;
    await insertInvite(tx, { clubId, codeHash: hashSecret(code), role: 'driver', driverId, minutes: inviteMinutes });
    return { code, nickname };
  });
}
