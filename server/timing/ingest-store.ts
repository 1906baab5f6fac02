import { and, asc, eq, exists, inArray, isNull, lte, max, or, sql } from 'drizzle-orm';
import { alias, type PgColumn } from 'drizzle-orm/pg-core';
import type { ClubTx } from '../../db/client.ts';
import { encodeExact } from '../../db/exact-text.ts';
import { crossing, crossingConflict, device, deviceBoot, heatEvent, lane } from '../../db/schema/index.ts';
import type { ClockBits } from '../heats/facts.ts';
import type { ClockState } from './offset.ts';
import { bootKey, type Content, crossingKey, type HeatWindow, type PlacedCrossing, type Rejection } from './reports.ts';

// What runs with every batch is prepared: the database keeps the plan, and the driver need not ask for types first.

/** Like `inArray`, as the same statement for lists of any length. */
const anyOf = (column: PgColumn, values: readonly string[]) =>
  sql`${column} = any(${sql.param(values.map(encodeExact))})`;

/** A track of a club. */
export type TrackKey = { clubId: string; trackId: string };
/** One power-up of a device of a track. */
export type BootKey = TrackKey & { deviceId: string; boot: string };

/** The sensor of a token's hash; null when there is none or its token was taken back. */
export async function selectOptionalSensor(
  tx: ClubTx,
  clubId: string,
  tokenHash: string,
): Promise<{ id: string; trackId: string } | null> {
  const [row] = await tx
    .select({ id: device.id, trackId: device.trackId })
    .from(device)
    .where(and(eq(device.clubId, clubId), eq(device.tokenHash, tokenHash), isNull(device.revokedAt)));
  return row ?? null;
}

export type DeviceRow = { id: string; bits: ClockBits; tokenHash: string | null; revoked: boolean };

export async function selectDevicesById(
  tx: ClubTx,
  { clubId, trackId }: TrackKey,
  ids: string[],
): Promise<Map<string, DeviceRow>> {
  const rows = await tx
    .select({ id: device.id, bits: device.bits, tokenHash: device.tokenHash, revokedAt: device.revokedAt })
    .from(device)
    .where(and(eq(device.clubId, clubId), eq(device.trackId, trackId), anyOf(device.id, ids)))
    .prepare('devices')
    .execute();
  return new Map(
    rows.map(({ revokedAt, bits, ...row }) => [
      row.id,
      { ...row, bits: bits === 32 ? 32 : 64, revoked: revokedAt !== null },
    ]),
  );
}

export async function insertDevices(tx: ClubTx, rows: (typeof device.$inferInsert)[]): Promise<void> {
  await tx.insert(device).values(rows).onConflictDoNothing();
}

export async function updateDeviceBits(
  tx: ClubTx,
  { clubId, trackId }: TrackKey,
  id: string,
  bits: ClockBits,
): Promise<void> {
  await tx
    .update(device)
    .set({ bits })
    .where(and(eq(device.clubId, clubId), eq(device.trackId, trackId), eq(device.id, id)));
}

export async function hasCrossings(tx: ClubTx, { clubId, trackId }: TrackKey, deviceId: string): Promise<boolean> {
  const [row] = await tx
    .select({ seq: crossing.seq })
    .from(crossing)
    .where(and(eq(crossing.clubId, clubId), eq(crossing.trackId, trackId), eq(crossing.deviceId, deviceId)))
    .limit(1);
  return row !== undefined;
}

/** Numbers of the track's lanes. */
export async function selectLaneNumbers(tx: ClubTx, { clubId, trackId }: TrackKey): Promise<Set<number>> {
  const rows = await tx
    .select({ number: lane.number })
    .from(lane)
    .where(and(eq(lane.clubId, clubId), eq(lane.trackId, trackId)))
    .prepare('lanes')
    .execute();
  return new Set(rows.map(({ number }) => number));
}

/** What is known of the clocks of these boots, and perhaps of others of their devices, by {@link bootKey}. */
export async function selectClocks(
  tx: ClubTx,
  { clubId, trackId }: TrackKey,
  boots: readonly { deviceId: string; boot: string }[],
): Promise<Map<string, ClockState>> {
  const rows = await tx
    .select({ deviceId: deviceBoot.deviceId, boot: deviceBoot.boot, clock: deviceBoot.clock })
    .from(deviceBoot)
    .where(
      and(
        eq(deviceBoot.clubId, clubId),
        eq(deviceBoot.trackId, trackId),
        anyOf(deviceBoot.deviceId, [...new Set(boots.map(({ deviceId }) => deviceId))]),
        anyOf(deviceBoot.boot, [...new Set(boots.map(({ boot }) => boot))]),
      ),
    )
    .prepare('clocks')
    .execute();
  // Only `upsertClocks` and `upsertBeat` of boot-store.ts write this column.
  return new Map(rows.flatMap((r) => (r.clock ? [[bootKey(r.deviceId, r.boot), r.clock as ClockState]] : [])));
}

export async function upsertClocks(tx: ClubTx, rows: readonly (BootKey & { clock: ClockState })[]): Promise<void> {
  await tx
    .insert(deviceBoot)
    .values([...rows])
    .onConflictDoUpdate({
      target: [deviceBoot.clubId, deviceBoot.trackId, deviceBoot.deviceId, deviceBoot.boot],
      set: { clock: sql`excluded.clock` },
    });
}

/** The arms that decide to which heats crossings between two instants belong, in order. */
export async function selectWindows(
  tx: ClubTx,
  { clubId, trackId }: TrackKey,
  fromUs: number,
  toUs: number,
): Promise<HeatWindow[]> {
  const confirm = alias(heatEvent, 'confirm');
  const armsUntil = (untilUs: number) =>
    and(
      eq(heatEvent.clubId, clubId),
      eq(heatEvent.trackId, trackId),
      eq(heatEvent.kind, 'arm'),
      lte(heatEvent.atUs, untilUs),
    );
  const first = tx
    .select({ atUs: max(heatEvent.atUs) })
    .from(heatEvent)
    .where(armsUntil(fromUs));
  return tx
    .select({
      atUs: heatEvent.atUs,
      confirmed: sql<boolean>`${exists(
        tx
          .select({ n: confirm.n })
          .from(confirm)
          .where(
            and(
              eq(confirm.clubId, clubId),
              eq(confirm.meetingId, heatEvent.meetingId),
              eq(confirm.heatId, heatEvent.heatId),
              eq(confirm.kind, 'confirm'),
            ),
          ),
      )}`,
    })
    .from(heatEvent)
    .where(and(armsUntil(toUs), sql`${heatEvent.atUs} >= coalesce(${first}, 0)`))
    .orderBy(asc(heatEvent.atUs), asc(heatEvent.factNo))
    .prepare('windows')
    .execute();
}

export type NewCrossing = PlacedCrossing & { late: boolean; factNo: number };

/** Appends crossings whose number is not taken yet. @returns the keys of those that were appended */
export async function insertCrossings(tx: ClubTx, track: TrackKey, rows: readonly NewCrossing[]): Promise<Set<string>> {
  const { clubId, trackId } = track;
  // One parameter however many rows: the statement is always the same, so the database has it ready.
  const json = JSON.stringify(
    rows.map(({ deviceId, boot, seq, lane, tUs, atUs, late, factNo }) => {
      return {
        device: encodeExact(deviceId),
        boot: encodeExact(boot),
        seq,
        lane,
        t: tUs,
        at: atUs,
        late,
        fact: factNo,
      };
    }),
  );
  const appended = await tx
    .insert(crossing)
    .select(
      sql`select ${clubId}, ${trackId}, device, boot, seq, lane, t, at, late, fact, now() from
        json_to_recordset(${json}::text::json) as r(device text, boot text, seq bigint, lane int, t bigint, at bigint, late boolean, fact bigint)`,
    )
    .onConflictDoNothing({
      target: [crossing.clubId, crossing.trackId, crossing.deviceId, crossing.boot, crossing.seq],
    })
    .returning({ deviceId: crossing.deviceId, boot: crossing.boot, seq: crossing.seq })
    .prepare('crossings')
    .execute();
  return new Set(appended.map((row) => crossingKey(row.deviceId, row.boot, row.seq)));
}

/** What stands under these numbers, by {@link crossingKey}. */
export async function selectHeld(
  tx: ClubTx,
  { clubId, trackId }: TrackKey,
  crossings: readonly PlacedCrossing[],
): Promise<Map<string, Content>> {
  const byBoot = new Map<string, { deviceId: string; boot: string; seqs: number[] }>();
  for (const { deviceId, boot, seq } of crossings) {
    const group = byBoot.get(bootKey(deviceId, boot)) ?? { deviceId, boot, seqs: [] };
    group.seqs.push(seq);
    byBoot.set(bootKey(deviceId, boot), group);
  }
  const { deviceId, boot, seq, lane, tUs } = crossing;
  const rows = await tx
    .select({ deviceId, boot, seq, lane, tUs })
    .from(crossing)
    .where(
      and(
        eq(crossing.clubId, clubId),
        eq(crossing.trackId, trackId),
        or(...[...byBoot.values()].map((g) => and(eq(deviceId, g.deviceId), eq(boot, g.boot), inArray(seq, g.seqs)))),
      ),
    );
  return new Map(rows.map((r) => [crossingKey(r.deviceId, r.boot, r.seq), { lane: r.lane, tUs: r.tUs }]));
}

/** Keeps what is no fact for people to look at, each content once. */
export async function insertSetAside(
  tx: ClubTx,
  track: TrackKey,
  rows: readonly (PlacedCrossing & { why: 'conflict' | Rejection })[],
): Promise<void> {
  await tx
    .insert(crossingConflict)
    .values(rows.map(({ deviceId, boot, seq, lane, tUs, why }) => ({ ...track, deviceId, boot, seq, lane, tUs, why })))
    .onConflictDoNothing();
}
