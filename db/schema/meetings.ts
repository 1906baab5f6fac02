import {
  bigint,
  boolean,
  date,
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
import { car, carClass, driver } from './drivers.ts';
import { track } from './tracks.ts';

/** What the counting needs to know of the track on the night. */
export type TrackSettings = {
  startMode: 'ahead' | 'behind' | 'carry';
  holdRollUs: number;
  endRollUs: number;
  lanes: { lane: number; lengthMm: number; minLapUs: number }[];
};

/** One race night at one track. */
export const meeting = pgTable(
  'meeting',
  {
    clubId: text()
      .notNull()
      .references(() => club.id, { onDelete: 'cascade' }),
    id: text().notNull(),
    trackId: text().notNull(),
    name: exactText().notNull(),
    date: date({ mode: 'string' }).notNull(),
    zone: exactText().notNull(),
    /** The track's name and settings as they were on the night: a later change of the track changes no old result. */
    trackName: exactText().notNull(),
    trackSettings: jsonb().$type<TrackSettings>().notNull(),
    /** Six characters on the wall screen; lets a driver in. Null when joining is closed. */
    joinCode: text(),
    /** Unlisted address of the public results. */
    publicCode: text().notNull().unique(),
    /** Whether the public page answers. */
    published: boolean().notNull().default(false),
    archivedAt: timestamp({ withTimezone: true }),
    createdAt: timestamp({ withTimezone: true }).notNull().defaultNow(),
  },
  (t) => [
    primaryKey({ columns: [t.clubId, t.id] }),
    foreignKey({ columns: [t.clubId, t.trackId], foreignColumns: [track.clubId, track.id] }),
    unique('meeting_join_code').on(t.clubId, t.joinCode),
    index('meeting_date').on(t.clubId, t.date),
  ],
);

/** How a race evens out its drivers' chances. `dial`: 0 for not at all, 100 for equal chances. */
export type RaceHandicap = {
  /** Start delays, or laps (in a race of laps: time) credited at the start. */
  mode: 'delay' | 'credit';
  dial: number;
  /** The longest delay; null for no limit. */
  capMs: number | null;
  /** Delays are whole multiples of it; credited laps are rounded to tenths of a lap. */
  roundMs: number;
};

/** One competition within a meeting. Its id, like those of entries and heats, is unique in the meeting, as in the log. */
export const race = pgTable(
  'race',
  {
    clubId: text().notNull(),
    meetingId: text().notNull(),
    id: exactText().notNull(),
    ordinal: integer().notNull(),
    name: exactText().notNull(),
    classId: text().notNull(),
    /** `time` or `laps`. */
    format: text().notNull(),
    durationMs: bigint({ mode: 'number' }),
    firstTo: bigint({ mode: 'number' }),
    laps: bigint({ mode: 'number' }),
    limitMs: bigint({ mode: 'number' }),
    minLapUs: bigint({ mode: 'number' }),
    /** What a heat an entry lacks counts: `zero` or `mean`. */
    missing: text().notNull(),
    standingFastest: boolean().notNull(),
    heatsPerEntry: bigint({ mode: 'number' }),
    /** Marshals wanted in each heat when a rotation is drawn. */
    marshals: integer().notNull().default(0),
    /** Length of the countdown before a start. */
    countdownMs: integer().notNull().default(5000),
    /** Null for a race without handicap by pace. */
    handicap: jsonb().$type<RaceHandicap>(),
    /** Race limit: the most drive, in permille, that any profile may give; null for none. */
    driveLimit: integer(),
    createdAt: timestamp({ withTimezone: true }).notNull().defaultNow(),
  },
  (t) => [
    primaryKey({ columns: [t.clubId, t.meetingId, t.id] }),
    foreignKey({ columns: [t.clubId, t.meetingId], foreignColumns: [meeting.clubId, meeting.id] }).onDelete('cascade'),
    foreignKey({ columns: [t.clubId, t.classId], foreignColumns: [carClass.clubId, carClass.id] }),
  ],
);

/** A driver in a race. */
export const entry = pgTable(
  'entry',
  {
    clubId: text().notNull(),
    meetingId: text().notNull(),
    id: exactText().notNull(),
    raceId: exactText().notNull(),
    /** Order of sign-up within the race. */
    ordinal: integer().notNull(),
    driverId: text().notNull(),
    carId: text(),
    /** Handicap start: race time after the start at which this driver's lane starts; 0 without handicap. */
    delayMs: bigint({ mode: 'number' }).notNull().default(0),
    /** Credited at the start: hundredths of a lap in heats by time, milliseconds in heats of laps. */
    credit: integer().notNull().default(0),
    /** Whether delay and credit are the director's and stay as they are. */
    handicapByHand: boolean().notNull().default(false),
    /** The group, from 1, that this entry races in; null where the race was not split. */
    groupNo: integer(),
    /** Set when the driver went home: the next draw leaves the entry out. What was run stays. */
    withdrawnAt: timestamp({ withTimezone: true }),
    createdAt: timestamp({ withTimezone: true }).notNull().defaultNow(),
  },
  (t) => [
    primaryKey({ columns: [t.clubId, t.meetingId, t.id] }),
    foreignKey({
      columns: [t.clubId, t.meetingId, t.raceId],
      foreignColumns: [race.clubId, race.meetingId, race.id],
    }).onDelete('cascade'),
    foreignKey({ columns: [t.clubId, t.driverId], foreignColumns: [driver.clubId, driver.id] }),
    foreignKey({ columns: [t.clubId, t.carId], foreignColumns: [car.clubId, car.id] }),
    index('entry_driver').on(t.clubId, t.driverId),
  ],
);
