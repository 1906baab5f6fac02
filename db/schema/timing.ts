import {
  bigint,
  boolean,
  foreignKey,
  index,
  integer,
  jsonb,
  pgTable,
  primaryKey,
  text,
  timestamp,
  unique,
} from 'drizzle-orm/pg-core';
import { exactText } from '../exact-text.ts';
import { track } from './tracks.ts';

/** Anything that reports crossings: a sensor with a token, a timekeeper's phone, or the server for a page without
 * JavaScript. Its id is unique on its track, as in the log. */
export const device = pgTable(
  'device',
  {
    clubId: text().notNull(),
    trackId: text().notNull(),
    id: exactText().notNull(),
    /** `sensor`, `phone` or `server`; `imported` for one that came with a meeting log. */
    kind: text().notNull(),
    name: text().notNull(),
    /** Width of its clock: differences are taken modulo 2^32 for 32. */
    bits: integer().notNull(),
    /** SHA-256 of its token; null for a device without one. */
    tokenHash: text(),
    revokedAt: timestamp({ withTimezone: true }),
    createdAt: timestamp({ withTimezone: true }).notNull().defaultNow(),
  },
  (t) => [
    primaryKey({ columns: [t.clubId, t.trackId, t.id] }),
    foreignKey({ columns: [t.clubId, t.trackId], foreignColumns: [track.clubId, track.id] }).onDelete('cascade'),
    unique('device_token').on(t.clubId, t.tokenHash),
  ],
);

/** One power-up of a device: what is known of its clock and of the numbers it has sent. */
export const deviceBoot = pgTable(
  'device_boot',
  {
    clubId: text().notNull(),
    trackId: text().notNull(),
    deviceId: exactText().notNull(),
    boot: exactText().notNull(),
    /** The estimate of the clock's offset, so that a restarted server goes on with it. */
    clock: jsonb().$type<unknown>(),
    /** The first number seen of this boot, and the last up to which every number is stored. */
    firstSeq: bigint({ mode: 'number' }),
    finalTo: bigint({ mode: 'number' }),
    buffered: integer(),
    rttUs: bigint({ mode: 'number' }),
    heartbeatAt: timestamp({ withTimezone: true }),
    createdAt: timestamp({ withTimezone: true }).notNull().defaultNow(),
  },
  (t) => [
    primaryKey({ columns: [t.clubId, t.trackId, t.deviceId, t.boot] }),
    foreignKey({
      columns: [t.clubId, t.trackId, t.deviceId],
      foreignColumns: [device.clubId, device.trackId, device.id],
    }).onDelete('cascade'),
  ],
);

/** What a sensor said: raw facts, never edited. */
export const crossing = pgTable(
  'crossing',
  {
    clubId: text().notNull(),
    trackId: text().notNull(),
    deviceId: exactText().notNull(),
    boot: exactText().notNull(),
    seq: bigint({ mode: 'number' }).notNull(),
    lane: integer().notNull(),
    /** The sensor's own clock. */
    tUs: bigint({ mode: 'number' }).notNull(),
    /** The server's scale: the sensor's clock plus the offset known on arrival. */
    atUs: bigint({ mode: 'number' }).notNull(),
    /** It reached the server after its heat was confirmed. */
    late: boolean().notNull().default(false),
    factNo: bigint({ mode: 'number' }).notNull(),
    receivedAt: timestamp({ withTimezone: true }).notNull().defaultNow(),
  },
  (t) => [
    // Exactly once: a retry finds its number taken.
    primaryKey({ columns: [t.clubId, t.trackId, t.deviceId, t.boot, t.seq] }),
    foreignKey({
      columns: [t.clubId, t.trackId, t.deviceId],
      foreignColumns: [device.clubId, device.trackId, device.id],
    }),
    unique('crossing_fact').on(t.clubId, t.trackId, t.factNo),
    index('crossing_at').on(t.clubId, t.trackId, t.atUs),
  ],
);

/** Reports that were set aside for people to look at: a number used again with other content (the first one stays), or
 * a crossing that was rejected. Each content once. */
export const crossingConflict = pgTable(
  'crossing_conflict',
  {
    clubId: text().notNull(),
    trackId: text().notNull(),
    deviceId: exactText().notNull(),
    boot: exactText().notNull(),
    seq: bigint({ mode: 'number' }).notNull(),
    lane: integer().notNull(),
    tUs: bigint({ mode: 'number' }).notNull(),
    /** `conflict`, or the reason of the rejection. */
    why: text().notNull(),
    receivedAt: timestamp({ withTimezone: true }).notNull().defaultNow(),
  },
  (t) => [
    primaryKey({
      name: 'crossing_conflict_content',
      columns: [t.clubId, t.trackId, t.deviceId, t.boot, t.seq, t.lane, t.tUs],
    }),
    foreignKey({
      columns: [t.clubId, t.trackId, t.deviceId],
      foreignColumns: [device.clubId, device.trackId, device.id],
    }).onDelete('cascade'),
  ],
);
