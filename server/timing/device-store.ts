import { and, count, desc, eq, sql } from 'drizzle-orm';
import type { ClubTx } from '../../db/client.ts';
import { crossingConflict, device } from '../../db/schema/index.ts';
import { selectDevices, type TrackDevice } from './store.ts';

/** A sensor of a track of a club. */
export type SensorKey = { clubId: string; trackId: string; id: string };

/** A report that was set aside. */
export type SetAside = typeof crossingConflict.$inferSelect;

const isSensor = ({ clubId, trackId, id }: SensorKey) =>
  and(eq(device.clubId, clubId), eq(device.trackId, trackId), eq(device.id, id), eq(device.kind, 'sensor'));

export async function insertSensor(
  tx: ClubTx,
  key: SensorKey,
  sensor: { name: string; bits: 32 | 64; tokenHash: string | null },
): Promise<void> {
  await tx.insert(device).values({ ...key, kind: 'sensor', ...sensor });
}

/** @returns whether there is such a sensor */
export async function updateSensorName(tx: ClubTx, key: SensorKey, name: string): Promise<boolean> {
  return (await tx.update(device).set({ name }).where(isSensor(key)).returning({ id: device.id })).length > 0;
}

/** Gives a sensor another token; the one before holds no more. @returns the sensor's name; null when there is none */
export async function updateSensorToken(tx: ClubTx, key: SensorKey, tokenHash: string): Promise<string | null> {
  const [row] = await tx
    .update(device)
    .set({ tokenHash, revokedAt: null })
    .where(isSensor(key))
    .returning({ name: device.name });
  return row?.name ?? null;
}

/** Takes a sensor's token back. @returns whether there is such a sensor */
export async function revokeSensor(tx: ClubTx, key: SensorKey): Promise<boolean> {
  const rows = await tx
    .update(device)
    .set({ tokenHash: null, revokedAt: sql`now()` })
    .where(isSensor(key))
    .returning({ id: device.id });
  return rows.length > 0;
}

/** A sensor with the number of its reports that were set aside. */
export type Sensor = TrackDevice & { aside: number };

/** The sensors of a track, oldest first; also those whose token was taken back. */
export async function selectSensors(tx: ClubTx, clubId: string, trackId: string): Promise<Sensor[]> {
  const rows = await tx
    .select({ deviceId: crossingConflict.deviceId, n: count() })
    .from(crossingConflict)
    .where(and(eq(crossingConflict.clubId, clubId), eq(crossingConflict.trackId, trackId)))
    .groupBy(crossingConflict.deviceId);
  const asideOf = new Map(rows.map((row) => [row.deviceId, row.n]));
  const devices = await selectDevices(tx, clubId, trackId);
  return devices.filter((one) => one.kind === 'sensor').map((one) => ({ ...one, aside: asideOf.get(one.id) ?? 0 }));
}

/** The reports of a sensor that were set aside last, newest first. */
export async function selectSetAside(tx: ClubTx, key: SensorKey, limit: number): Promise<SetAside[]> {
  return tx
    .select()
    .from(crossingConflict)
    .where(
      and(
        eq(crossingConflict.clubId, key.clubId),
        eq(crossingConflict.trackId, key.trackId),
        eq(crossingConflict.deviceId, key.id),
      ),
    )
    .orderBy(desc(crossingConflict.receivedAt), desc(crossingConflict.seq))
    .limit(limit);
}
