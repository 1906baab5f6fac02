import { and, asc, eq, gt, gte, lt, sql } from 'drizzle-orm';
import type { ClubTx } from '../../db/client.ts';
import { crossing, device, deviceBoot } from '../../db/schema/index.ts';
import type { ClockBits, Crossing } from '../heats/facts.ts';

/** A crossing as it is kept, with the track's number of this fact. */
export type StoredCrossing = Crossing & { readonly factNo: number };

/** A device of a track, as live screens show it. */
export type TrackDevice = {
  readonly id: string;
  /** `sensor`, `phone`, `server` or `imported`. */
  readonly kind: string;
  readonly bits: ClockBits;
  readonly name: string;
  /** Time since its last heartbeat, by the database's clock; null for one that never sent any. */
  readonly heartbeatAgeMs: number | null;
  /** Crossings it still held back when it last said so; null for one that never did. */
  readonly buffered: number | null;
  /** Its clock runs further off than a good one does (200 ppm): its lap times are off by as much. */
  readonly clockSuspect: boolean;
  /** Its token was taken back: it reports no more, and its crossings stay. */
  readonly revoked: boolean;
};

const stored = {
  device: crossing.deviceId,
  boot: crossing.boot,
  seq: crossing.seq,
  lane: crossing.lane,
  tUs: crossing.tUs,
  atUs: crossing.atUs,
  late: crossing.late,
  factNo: crossing.factNo,
};

/** The crossings of a track above a fact number, in the order in which they were stored. */
export async function selectCrossingsAfter(
  tx: ClubTx,
  clubId: string,
  trackId: string,
  factNo: number,
): Promise<StoredCrossing[]> {
  return tx
    .select(stored)
    .from(crossing)
    .where(and(eq(crossing.clubId, clubId), eq(crossing.trackId, trackId), gt(crossing.factNo, factNo)))
    .orderBy(asc(crossing.factNo));
}

/**
 * The crossings of a track from one instant on, in the order in which they were stored.
 *
 * @param fromUs first instant, included
 * @param toUs instant before which they lie; null: no end
 */
export async function selectCrossingsBetween(
  tx: ClubTx,
  clubId: string,
  trackId: string,
  fromUs: number,
  toUs: number | null,
): Promise<StoredCrossing[]> {
  return tx
    .select(stored)
    .from(crossing)
    .where(
      and(
        eq(crossing.clubId, clubId),
        eq(crossing.trackId, trackId),
        gte(crossing.atUs, fromUs),
        toUs === null ? undefined : lt(crossing.atUs, toUs),
      ),
    )
    .orderBy(asc(crossing.factNo));
}

/** All devices of a track, oldest first; also revoked ones, whose crossings still count. */
export async function selectDevices(tx: ClubTx, clubId: string, trackId: string): Promise<TrackDevice[]> {
  const latest = tx
    .selectDistinctOn([deviceBoot.deviceId], {
      deviceId: deviceBoot.deviceId,
      buffered: deviceBoot.buffered,
      clockSuspect: sql<boolean>`coalesce((${deviceBoot.clock} ->> 'ratePpb')::float8 <> 0, false)`.as('clock_suspect'),
      ageMs: sql<number>`floor(extract(epoch from clock_timestamp() - ${deviceBoot.heartbeatAt}) * 1000)::float8`.as(
        'age_ms',
      ),
    })
    .from(deviceBoot)
    .where(
      and(eq(deviceBoot.clubId, clubId), eq(deviceBoot.trackId, trackId), sql`${deviceBoot.heartbeatAt} is not null`),
    )
    .orderBy(deviceBoot.deviceId, sql`${deviceBoot.heartbeatAt} desc`)
    .as('latest');
  const rows = await tx
    .select({
      id: device.id,
      kind: device.kind,
      bits: device.bits,
      name: device.name,
      heartbeatAgeMs: latest.ageMs,
      buffered: latest.buffered,
      clockSuspect: latest.clockSuspect,
      revoked: sql<boolean>`${device.revokedAt} is not null`,
    })
    .from(device)
    .leftJoin(latest, eq(latest.deviceId, device.id))
    .where(and(eq(device.clubId, clubId), eq(device.trackId, trackId)))
    .orderBy(asc(device.createdAt), asc(device.id));
  return rows.map((row) => ({ ...row, bits: row.bits === 32 ? 32 : 64, clockSuspect: row.clockSuspect ?? false }));
}
