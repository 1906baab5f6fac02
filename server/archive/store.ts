import type { ClubTx } from '../../db/client.ts';
import { crossing, device } from '../../db/schema/index.ts';
import type { Device } from '../results/meeting-facts.ts';
import { chunks } from '../shared/chunks.ts';
import type { StoredCrossing } from '../timing/store.ts';

/** A statement takes at most 65,535 parameters; no row here has as many as 30. */
const rowsPerStatement = 2000;

type TrackKey = { clubId: string; trackId: string };

/** Adds devices that came with a meeting log. They have no token: they report nothing more. */
export async function insertImportedDevices(tx: ClubTx, track: TrackKey, devices: readonly Device[]): Promise<void> {
  for (const some of chunks(devices, rowsPerStatement)) {
    await tx.insert(device).values(
      // The name is a plain column; the id may hold what a plain column cannot.
      some.map(({ id, bits }) => ({ ...track, id, bits, kind: 'imported', name: JSON.stringify(id).slice(1, -1) })),
    );
  }
}

/** Adds crossings that came with a meeting log. */
export async function insertImportedCrossings(
  tx: ClubTx,
  track: TrackKey,
  crossings: readonly StoredCrossing[],
): Promise<void> {
  for (const some of chunks(crossings, rowsPerStatement)) {
    await tx.insert(crossing).values(some.map(({ device: deviceId, ...one }) => ({ ...track, deviceId, ...one })));
  }
}
