import { sql } from 'drizzle-orm';
import type { ClubTx } from '../../db/client.ts';

/** The one channel of the doorbell. */
export const doorbell = 'lanewise_track';

/** Which track's door: what a notification says, and all it says. */
export type TrackKey = { clubId: string; trackId: string };

export function writeKey(key: TrackKey): string {
  return `${key.clubId}/${key.trackId}`;
}

/** Null for anything that is no key of ours. */
export function readKey(payload: string): TrackKey | null {
  const [clubId, trackId, ...more] = payload.split('/');
  return clubId && trackId && more.length === 0 ? { clubId, trackId } : null;
}

/**
 * Rings the doorbell of a track when this transaction commits. Whoever shows the track then reads again; nothing is
 * handed over but the track's name.
 */
export async function ring(tx: ClubTx, key: TrackKey): Promise<void> {
  await tx.execute(sql`select pg_notify(${doorbell}, ${writeKey(key)})`);
}
