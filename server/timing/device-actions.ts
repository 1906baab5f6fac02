import type { ClubTx, Database } from '../../db/client.ts';
import { hashSecret, newId, newSecret } from '../accounts/tokens.ts';
import { ring } from '../live/notify.ts';
import { bumpPlan, selectOptionalTrack } from '../tracks/store.ts';
import { insertSensor, revokeSensor, type SensorKey, updateSensorName, updateSensorToken } from './device-store.ts';
import { deviceToken } from './device-token.ts';

/**
 * Adds a sensor to a track of the club.
 *
 * @returns its key and its token, which is kept nowhere in clear; null when there is no such track in use
 */
export async function addSensor(
  db: Database,
  clubId: string,
  sensor: { name: string; trackId: string; bits: 32 | 64 },
): Promise<{ key: SensorKey; token: string } | null> {
  const { name, trackId, bits } = sensor;
  const key = { clubId, trackId, id: newId() };
  const token = deviceToken(clubId, newSecret());
  return db.withClub(clubId, async (tx) => {
    const track = await selectOptionalTrack(tx, clubId, trackId);
    if (!track || track.imported || track.archivedAt !== null) return null;
    await insertSensor(tx, key, { name, bits, tokenHash: hashSecret(token) });
    await showAgain(tx, key);
    return { key, token };
  });
}

/** @returns whether there is such a sensor */
export async function renameSensor(db: Database, key: SensorKey, name: string): Promise<boolean> {
  return db.withClub(key.clubId, async (tx) => {
    const found = await updateSensorName(tx, key, name);
    if (found) await showAgain(tx, key);
    return found;
  });
}

/**
 * Gives a sensor a new token; the old one stops working at once. Also lets one back in whose token was taken.
 *
 * @returns its name and the token, which is kept nowhere in clear; null when there is no such sensor
 */
export async function rotateToken(db: Database, key: SensorKey): Promise<{ name: string; token: string } | null> {
  const token = deviceToken(key.clubId, newSecret());
  return db.withClub(key.clubId, async (tx) => {
    const name = await updateSensorToken(tx, key, hashSecret(token));
    if (name === null) return null;
    await showAgain(tx, key);
    return { name, token };
  });
}

/** Takes a sensor's token back; its crossings stay. @returns whether there is such a sensor */
export async function revokeToken(db: Database, key: SensorKey): Promise<boolean> {
  return db.withClub(key.clubId, async (tx) => {
    const found = await revokeSensor(tx, key);
    if (found) await showAgain(tx, key);
    return found;
  });
}

/** Live screens show the track's sensors. */
async function showAgain(tx: ClubTx, { clubId, trackId }: SensorKey): Promise<void> {
  await bumpPlan(tx, clubId, trackId);
  await ring(tx, { clubId, trackId });
}
