import {
  boolean,
  doublePrecision,
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
import { club } from './clubs.ts';
import { driver } from './drivers.ts';
import { track } from './tracks.ts';

/** One physical hand controller: its limits and its trigger. */
export const controllerUnit = pgTable(
  'controller_unit',
  {
    clubId: text()
      .notNull()
      .references(() => club.id, { onDelete: 'cascade' }),
    id: text().notNull(),
    name: exactText().notNull(),
    /** Whose it is; null for one of the club. */
    driverId: text(),
    /** For one that stays on a lane: whoever drives there holds it. */
    trackId: text(),
    lane: integer(),
    /** Hardware sheet (`server/profiles/convert/sheet.ts`); null while nobody typed it in. */
    sheet: jsonb().$type<unknown>(),
    /** Rises whenever the travel screw, the spring or the magnet was touched: older calibrations are then void. */
    mechanicalSetting: integer().notNull().default(1),
    /** Since when it is so. */
    mechanicalSettingAt: timestamp({ withTimezone: true }).notNull().defaultNow(),
    /** SHA-256 of the token with which it speaks for itself; null for one without. */
    tokenHash: text(),
    seenAt: timestamp({ withTimezone: true }),
    archivedAt: timestamp({ withTimezone: true }),
    createdAt: timestamp({ withTimezone: true }).notNull().defaultNow(),
  },
  (t) => [
    primaryKey({ columns: [t.clubId, t.id] }),
    foreignKey({ columns: [t.clubId, t.driverId], foreignColumns: [driver.clubId, driver.id] }),
    foreignKey({ columns: [t.clubId, t.trackId], foreignColumns: [track.clubId, track.id] }),
    unique('controller_unit_token').on(t.clubId, t.tokenHash),
  ],
);

/** What a trigger's ends were at one mechanical setting. Belongs to the unit, never to a profile. */
export const calibration = pgTable(
  'calibration',
  {
    clubId: text().notNull(),
    unitId: text().notNull(),
    /** From 1; the latest counts, if its mechanical setting is the unit's. */
    n: integer().notNull(),
    mechanicalSetting: integer().notNull(),
    bits: integer().notNull(),
    /** In counts of the sensor, as are the next ones. */
    released: integer().notNull(),
    pressed: integer().notNull(),
    /** 1 or -1. */
    direction: integer().notNull(),
    travel: doublePrecision().notNull(),
    noise: doublePrecision().notNull(),
    deadBand: integer().notNull(),
    warnings: text().array().notNull(),
    author: exactText().notNull(),
    createdAt: timestamp({ withTimezone: true }).notNull().defaultNow(),
  },
  (t) => [
    primaryKey({ columns: [t.clubId, t.unitId, t.n] }),
    foreignKey({ columns: [t.clubId, t.unitId], foreignColumns: [controllerUnit.clubId, controllerUnit.id] }).onDelete(
      'cascade',
    ),
  ],
);

/** Readings of a trigger during a check; the last few of a unit are kept. */
export const triggerTrace = pgTable(
  'trigger_trace',
  {
    clubId: text().notNull(),
    unitId: text().notNull(),
    n: integer().notNull(),
    /** What a unit that sends its readings in parts calls them; null for those that came whole. */
    name: text(),
    mechanicalSetting: integer().notNull(),
    bits: integer().notNull(),
    restSamples: integer().notNull(),
    counts: integer().array().notNull(),
    /** `unit`, `paste`, `file` or `serial`. */
    source: text().notNull(),
    /** False while more is to come. */
    complete: boolean().notNull(),
    createdAt: timestamp({ withTimezone: true }).notNull().defaultNow(),
  },
  (t) => [
    primaryKey({ columns: [t.clubId, t.unitId, t.n] }),
    foreignKey({ columns: [t.clubId, t.unitId], foreignColumns: [controllerUnit.clubId, controllerUnit.id] }).onDelete(
      'cascade',
    ),
    unique('trigger_trace_name').on(t.clubId, t.unitId, t.name),
    index('trigger_trace_age').on(t.clubId, t.unitId, t.createdAt),
  ],
);
