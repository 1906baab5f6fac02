import { and, eq, gt, min, type SQL, sql } from 'drizzle-orm';
import { unionAll } from 'drizzle-orm/pg-core';
import type { ClubTx } from '../../db/client.ts';
import { crossing, crossingConflict, deviceBoot } from '../../db/schema/index.ts';
import type { BootKey } from './ingest-store.ts';
import type { ClockState } from './offset.ts';

const ofBoot = (table: typeof crossing | typeof crossingConflict | typeof deviceBoot, key: BootKey): SQL | undefined =>
  and(
    eq(table.clubId, key.clubId),
    eq(table.trackId, key.trackId),
    eq(table.deviceId, key.deviceId),
    eq(table.boot, key.boot),
  );

export type BootRow = {
  clock: ClockState | null;
  firstSeq: number | null;
  finalTo: number | null;
  /** Time since the heartbeat before; null when there was none. */
  silentMs: number | null;
};

export async function selectOptionalBoot(tx: ClubTx, key: BootKey): Promise<BootRow | null> {
  const [row] = await tx
    .select({
      clock: deviceBoot.clock,
      firstSeq: deviceBoot.firstSeq,
      finalTo: deviceBoot.finalTo,
      silentMs: sql<number | null>`(extract(epoch from clock_timestamp() - ${deviceBoot.heartbeatAt}) * 1000)::float8`,
    })
    .from(deviceBoot)
    .where(ofBoot(deviceBoot, key));
  return row ? { ...row, clock: row.clock as ClockState | null } : null;
}

/** The least number of a boot that was stored or set aside; null when there is none. */
export async function selectOptionalFirstSeq(tx: ClubTx, key: BootKey): Promise<number | null> {
  const of = (table: typeof crossing | typeof crossingConflict) =>
    tx
      .select({ seq: min(table.seq) })
      .from(table)
      .where(ofBoot(table, key));
  const rows = await unionAll(of(crossing), of(crossingConflict));
  const seqs = rows.flatMap(({ seq }) => (seq === null ? [] : [seq]));
  return seqs.length === 0 ? null : Math.min(...seqs);
}

/** Numbers of a boot above `seq` that were stored or set aside, rising. */
export async function selectSeqsAfter(tx: ClubTx, key: BootKey, seq: number, limit: number): Promise<number[]> {
  const of = (table: typeof crossing | typeof crossingConflict) =>
    tx
      .select({ seq: table.seq })
      .from(table)
      .where(and(ofBoot(table, key), gt(table.seq, seq)));
  const rows = await unionAll(of(crossing), of(crossingConflict)).orderBy(sql`seq`).limit(limit);
  return rows.map((row) => row.seq);
}

export type Beat = {
  clock: ClockState;
  firstSeq: number | null;
  finalTo: number | null;
  buffered: number;
  rttUs: number | null;
};

export async function upsertBeat(tx: ClubTx, key: BootKey, beat: Beat): Promise<void> {
  const set = { ...beat, heartbeatAt: sql`now()` };
  await tx
    .insert(deviceBoot)
    .values({ ...key, ...set })
    .onConflictDoUpdate({
      target: [deviceBoot.clubId, deviceBoot.trackId, deviceBoot.deviceId, deviceBoot.boot],
      set,
    });
}
