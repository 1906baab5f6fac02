import type { ClubTx, Database } from '../../db/client.ts';
import type { ClockBits } from '../heats/facts.ts';
import { ring } from '../live/notify.ts';
import { type BootRow, selectOptionalBoot, selectOptionalFirstSeq, selectSeqsAfter, upsertBeat } from './boot-store.ts';
import { type BootKey, hasCrossings, selectDevicesById, type TrackKey, updateDeviceBits } from './ingest-store.ts';
import { readClock } from './offset.ts';

/** A sign of life of a sensor. */
export type Heartbeat = {
  readonly deviceId: string;
  readonly tokenHash: string;
  readonly boot: string;
  readonly bits: ClockBits;
  readonly sentUs: number;
  readonly receivedUs: number;
  /** Crossings it still holds back. */
  readonly buffered: number;
  /** Least round trip it has measured. */
  readonly rttUs: number | null;
};

/** A screen calls a sensor silent after this time, so it has to hear when it is not any more. */
const silentAfterMs = 5_000;
const page = 1000;

/**
 * Takes a heartbeat into account.
 *
 * @returns the number up to which all numbers of this boot are final, from the first that was seen; null when none was.
 *   Or `refused` when the token is not valid any more, or the clock is of another width than that of its crossings
 */
export async function noteHeartbeat(
  db: Database,
  track: TrackKey,
  beat: Heartbeat,
): Promise<{ finalTo: number | null } | { refused: 'token' | 'bits' }> {
  const { deviceId, boot, bits, sentUs, receivedUs, buffered, rttUs } = beat;
  const key = { ...track, deviceId, boot };
  return db.withClub(track.clubId, async (tx) => {
    const [devices, before, firstSeq] = await Promise.all([
      selectDevicesById(tx, track, [deviceId]),
      selectOptionalBoot(tx, key),
      selectOptionalFirstSeq(tx, key),
    ]);
    const device = devices.get(deviceId);
    if (!device || device.revoked || device.tokenHash !== beat.tokenHash) return { refused: 'token' };
    if (device.bits !== bits) {
      if (await hasCrossings(tx, track, deviceId)) return { refused: 'bits' };
      await updateDeviceBits(tx, track, deviceId, bits);
    }
    const clock = readClock(before?.clock ?? null, { bits, sentUs, receivedUs, rttUs, longestWayUs: null });
    const finalTo = firstSeq === null ? null : await followSeqs(tx, key, firstSeq, before);
    await upsertBeat(tx, key, { clock: clock.state, firstSeq, finalTo, buffered, rttUs });
    if ((before?.silentMs ?? Number.POSITIVE_INFINITY) > silentAfterMs) await ring(tx, track);
    return { finalTo };
  });
}

/** Goes on from where the heartbeat before came to: what was final then still is. */
async function followSeqs(tx: ClubTx, key: BootKey, firstSeq: number, before: BootRow | null): Promise<number> {
  let finalTo = (before?.firstSeq === firstSeq ? before.finalTo : null) ?? firstSeq;
  for (;;) {
    const seqs = await selectSeqsAfter(tx, key, finalTo, page);
    for (const seq of seqs) {
      if (seq > finalTo + 1) return finalTo;
      finalTo = seq;
    }
    if (seqs.length < page) return finalTo;
  }
}
