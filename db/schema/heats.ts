import {
  bigint,
  boolean,
  foreignKey,
  index,
  integer,
  pgTable,
  primaryKey,
  text,
  timestamp,
  unique,
} from 'drizzle-orm/pg-core';
import { exactText } from '../exact-text.ts';
import { entry, meeting, race } from './meetings.ts';
import { profileVersion } from './profiles.ts';
import { track } from './tracks.ts';

export const heat = pgTable(
  'heat',
  {
    clubId: text().notNull(),
    meetingId: text().notNull(),
    id: exactText().notNull(),
    raceId: exactText().notNull(),
    /** Order in which the heats of a race are run. */
    ordinal: bigint({ mode: 'number' }).notNull(),
    /** The void heat this one runs again. */
    reruns: exactText(),
    /** Set when a heat that was armed but never started is taken off the plan; its window stays. */
    removedAt: timestamp({ withTimezone: true }),
  },
  (t) => [
    primaryKey({ columns: [t.clubId, t.meetingId, t.id] }),
    foreignKey({
      columns: [t.clubId, t.meetingId, t.raceId],
      foreignColumns: [race.clubId, race.meetingId, race.id],
    }).onDelete('cascade'),
  ],
);

export const heatLane = pgTable(
  'heat_lane',
  {
    clubId: text().notNull(),
    meetingId: text().notNull(),
    heatId: exactText().notNull(),
    lane: integer().notNull(),
    entryId: exactText().notNull(),
    /** Handicap start: race time after the start at which this lane starts. */
    delayMs: bigint({ mode: 'number' }).notNull().default(0),
    /** The controller profile and version in use, noted at the start; null where none was chosen. */
    profileId: text(),
    profileVersion: integer(),
  },
  (t) => [
    primaryKey({ columns: [t.clubId, t.meetingId, t.heatId, t.lane] }),
    foreignKey({
      columns: [t.clubId, t.profileId, t.profileVersion],
      foreignColumns: [profileVersion.clubId, profileVersion.profileId, profileVersion.version],
    }),
    index('heat_lane_profile').on(t.clubId, t.profileId, t.profileVersion),
    foreignKey({
      columns: [t.clubId, t.meetingId, t.heatId],
      foreignColumns: [heat.clubId, heat.meetingId, heat.id],
    }).onDelete('cascade'),
    foreignKey({
      columns: [t.clubId, t.meetingId, t.entryId],
      foreignColumns: [entry.clubId, entry.meetingId, entry.id],
    }),
    unique('heat_lane_entry').on(t.clubId, t.meetingId, t.heatId, t.entryId),
  ],
);

export const heatMarshal = pgTable(
  'heat_marshal',
  {
    clubId: text().notNull(),
    meetingId: text().notNull(),
    heatId: exactText().notNull(),
    /** Order of the marshal posts. */
    post: integer().notNull(),
    entryId: exactText().notNull(),
  },
  (t) => [
    primaryKey({ columns: [t.clubId, t.meetingId, t.heatId, t.post] }),
    foreignKey({
      columns: [t.clubId, t.meetingId, t.heatId],
      foreignColumns: [heat.clubId, heat.meetingId, heat.id],
    }).onDelete('cascade'),
    foreignKey({
      columns: [t.clubId, t.meetingId, t.entryId],
      foreignColumns: [entry.clubId, entry.meetingId, entry.id],
    }),
  ],
);

/** The events and rulings of a heat: facts, only ever appended. */
export const heatEvent = pgTable(
  'heat_event',
  {
    clubId: text().notNull(),
    meetingId: text().notNull(),
    heatId: exactText().notNull(),
    /** Numbers the facts of the heat from 1. */
    n: integer().notNull(),
    trackId: text().notNull(),
    /** The track's number of this fact. */
    factNo: bigint({ mode: 'number' }).notNull(),
    kind: text().notNull(),
    atUs: bigint({ mode: 'number' }).notNull(),
    by: exactText().notNull(),
    /** Null for an event; for a ruling what it names, as in the log, in JSON escapes. */
    target: text(),
    /** The ruling's value as JSON, or null where its kind has none. */
    value: text(),
    why: exactText(),
    recordedAt: timestamp({ withTimezone: true }).notNull().defaultNow(),
  },
  (t) => [
    primaryKey({ columns: [t.clubId, t.meetingId, t.heatId, t.n] }),
    foreignKey({
      columns: [t.clubId, t.meetingId, t.heatId],
      foreignColumns: [heat.clubId, heat.meetingId, heat.id],
    }),
    foreignKey({ columns: [t.clubId, t.trackId], foreignColumns: [track.clubId, track.id] }),
    unique('heat_event_fact').on(t.clubId, t.trackId, t.factNo),
    // Which heat does a crossing belong to? That of the last arm at or before it.
    index('heat_event_arm').on(t.clubId, t.trackId, t.kind, t.atUs),
  ],
);

/** Laps of confirmed heats, for history and pace. They can be made again from the facts at any time. */
export const lap = pgTable(
  'lap',
  {
    clubId: text().notNull(),
    meetingId: text().notNull(),
    heatId: exactText().notNull(),
    lane: integer().notNull(),
    n: integer().notNull(),
    entryId: exactText().notNull(),
    driverId: text().notNull(),
    durationUs: bigint({ mode: 'number' }).notNull(),
    flags: text().array().notNull(),
  },
  (t) => [
    primaryKey({ columns: [t.clubId, t.meetingId, t.heatId, t.lane, t.n] }),
    foreignKey({
      columns: [t.clubId, t.meetingId, t.heatId],
      foreignColumns: [heat.clubId, heat.meetingId, heat.id],
    }).onDelete('cascade'),
    index('lap_driver').on(t.clubId, t.driverId),
  ],
);

/** A race's results as they stood after a heat was confirmed or a later ruling: one revision each. */
export const standing = pgTable(
  'standing',
  {
    clubId: text().notNull(),
    meetingId: text().notNull(),
    raceId: exactText().notNull(),
    revision: integer().notNull(),
    provisional: boolean().notNull(),
    /** The results JSON, byte for byte. */
    results: exactText().notNull(),
    createdAt: timestamp({ withTimezone: true }).notNull().defaultNow(),
  },
  (t) => [
    primaryKey({ columns: [t.clubId, t.meetingId, t.raceId, t.revision] }),
    foreignKey({
      columns: [t.clubId, t.meetingId],
      foreignColumns: [meeting.clubId, meeting.id],
    }).onDelete('cascade'),
  ],
);

export type HeatEventRow = typeof heatEvent.$inferSelect;
