import {
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
} from 'drizzle-orm/pg-core';
import { exactText } from '../exact-text.ts';
import { club } from './clubs.ts';
import { car, driver } from './drivers.ts';
import { track } from './tracks.ts';

/** A throttle curve: one number from -100 (fuller late) to 100 (fuller early), or 2 to 9 points in permille. */
export type StoredCurve =
  | { kind: 'shape'; shape: number }
  | { kind: 'points'; points: readonly (readonly [number, number])[] };

/** A controller profile as it stands in a version; units and ranges are those of `server/profiles/model/profile.ts`. */
export type StoredProfile = {
  name: string;
  notes?: string;
  minDrive: number;
  maxDrive: number;
  releaseBand: number;
  curve: StoredCurve;
  rampUpMs: number;
  brakeFull: number;
  drag: { strength: number; zoneFrom: number; zoneTo: number; closingOnly: boolean };
  pwmHz: number;
  decay: 'slow' | 'fast';
  rectify: 'async' | 'sync';
};

/** Where a version came from, if not from its own driver's hand. */
export type ProfileOrigin = {
  /** `share`: a link; `library`: the club's; `copy`: another car's; `version`: gone back to; `unit`: moved to a unit's limits. */
  via: 'share' | 'library' | 'code' | 'file' | 'copy' | 'version' | 'unit';
  /** Whose it was, as shown then; absent where the source does not say. */
  from?: string;
  /** Its version there. */
  version?: number;
  /** Setup hash of what was received: tells later what was changed since. */
  hash: string;
};

/** A driver's settings for a car, or for any car, perhaps for one track. What is in them stands in the versions. */
export const profile = pgTable(
  'profile',
  {
    clubId: text()
      .notNull()
      .references(() => club.id, { onDelete: 'cascade' }),
    id: text().notNull(),
    driverId: text().notNull(),
    carId: text(),
    trackId: text(),
    /** Number of the latest version; versions count from 1. */
    latest: integer().notNull().default(1),
    archivedAt: timestamp({ withTimezone: true }),
    createdAt: timestamp({ withTimezone: true }).notNull().defaultNow(),
  },
  (t) => [
    primaryKey({ columns: [t.clubId, t.id] }),
    foreignKey({ columns: [t.clubId, t.driverId], foreignColumns: [driver.clubId, driver.id] }),
    foreignKey({ columns: [t.clubId, t.carId], foreignColumns: [car.clubId, car.id] }),
    foreignKey({ columns: [t.clubId, t.trackId], foreignColumns: [track.clubId, track.id] }),
    index('profile_driver').on(t.clubId, t.driverId),
  ],
);

/** One saved state of a profile: never edited, never deleted. */
export const profileVersion = pgTable(
  'profile_version',
  {
    clubId: text().notNull(),
    profileId: text().notNull(),
    version: integer().notNull(),
    setup: jsonb().$type<StoredProfile>().notNull(),
    /** SHA-256 of the tuning fields, in 64 hexadecimal digits: the same for the same setup. */
    hash: text().notNull(),
    /** What the driver wrote about the change; may be empty. */
    note: exactText().notNull(),
    /** Who saved it, as rulings are signed. */
    author: exactText().notNull(),
    origin: jsonb().$type<ProfileOrigin>(),
    createdAt: timestamp({ withTimezone: true }).notNull().defaultNow(),
  },
  (t) => [
    primaryKey({ columns: [t.clubId, t.profileId, t.version] }),
    foreignKey({ columns: [t.clubId, t.profileId], foreignColumns: [profile.clubId, profile.id] }).onDelete('cascade'),
  ],
);

/** The version that a driver dials in: for one lane, or for every lane that has none of its own. */
export const profileChoice = pgTable(
  'profile_choice',
  {
    clubId: text().notNull(),
    id: text().notNull(),
    driverId: text().notNull(),
    profileId: text().notNull(),
    version: integer().notNull(),
    /** Null: every lane. */
    lane: integer(),
    chosenAt: timestamp({ withTimezone: true }).notNull().defaultNow(),
  },
  (t) => [
    primaryKey({ columns: [t.clubId, t.id] }),
    foreignKey({
      columns: [t.clubId, t.profileId, t.version],
      foreignColumns: [profileVersion.clubId, profileVersion.profileId, profileVersion.version],
    }).onDelete('cascade'),
    index('profile_choice_driver').on(t.clubId, t.driverId),
  ],
);

/** What somebody measured of a car's motor, or looked up; SI units, see `server/profiles/motor/motor.ts`. */
export const carMotor = pgTable(
  'car_motor',
  {
    clubId: text().notNull(),
    carId: text().notNull(),
    motor: jsonb().$type<Record<string, number>>().notNull(),
    updatedAt: timestamp({ withTimezone: true }).notNull().defaultNow(),
  },
  (t) => [
    primaryKey({ columns: [t.clubId, t.carId] }),
    foreignKey({ columns: [t.clubId, t.carId], foreignColumns: [car.clubId, car.id] }).onDelete('cascade'),
  ],
);

/** A version made readable for others: a copy that names no driver, by link or in the club's library. */
export const share = pgTable(
  'share',
  {
    clubId: text()
      .notNull()
      .references(() => club.id, { onDelete: 'cascade' }),
    id: text().notNull(),
    /** Unlisted address of a link; null for an entry of the library. */
    code: text().unique(),
    profileId: text().notNull(),
    version: integer().notNull(),
    setup: jsonb().$type<StoredProfile>().notNull(),
    hash: text().notNull(),
    /** The owner's shown name of that day, if the owner wanted it there; pages show today's in its place. */
    author: exactText(),
    /** Name of the car and of its class, as text. */
    carName: exactText(),
    className: exactText(),
    /** Whether the link is read by anyone who has it: false once its owner took it back. */
    open: boolean().notNull().default(true),
    /** Last day on which it can be read, `YYYY-MM-DD` in the club's zone; null for no end. */
    endsOn: date({ mode: 'string' }),
    /** To the day only. */
    sharedOn: date({ mode: 'string' }).notNull(),
  },
  (t) => [
    primaryKey({ columns: [t.clubId, t.id] }),
    foreignKey({
      columns: [t.clubId, t.profileId, t.version],
      foreignColumns: [profileVersion.clubId, profileVersion.profileId, profileVersion.version],
    }).onDelete('cascade'),
    index('share_profile').on(t.clubId, t.profileId),
  ],
);
