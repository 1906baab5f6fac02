import {
  bigint,
  doublePrecision,
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
import { carClass, driver } from './drivers.ts';
import { heat } from './heats.ts';

/** What an import of laps brought into the club, so that it can be taken out again. */
export type MadeByImport = { drivers: string[]; classes: string[] };

/** A table of laps from before the club used this program. */
export const lapImport = pgTable(
  'lap_import',
  {
    clubId: text()
      .notNull()
      .references(() => club.id, { onDelete: 'cascade' }),
    id: text().notNull(),
    name: exactText().notNull(),
    rows: integer().notNull(),
    nights: integer().notNull(),
    made: jsonb().$type<MadeByImport>().notNull(),
    createdAt: timestamp({ withTimezone: true }).notNull().defaultNow(),
  },
  (t) => [primaryKey({ columns: [t.clubId, t.id] })],
);

/** One lap of an import. Its nights count before all of the club's own meetings. */
export const pastLap = pgTable(
  'past_lap',
  {
    clubId: text().notNull(),
    importId: text().notNull(),
    /** From 1, as in the table. */
    row: integer().notNull(),
    /** As in the table: rises with the date, with gaps perhaps. */
    night: bigint({ mode: 'number' }).notNull(),
    /** Names the heat within its night. */
    heat: exactText().notNull(),
    /** Start of the heat, seconds into the night. */
    startS: doublePrecision().notNull(),
    /** Id of a track of the club, or the name of another one. */
    track: exactText().notNull(),
    lane: integer().notNull(),
    driverId: text().notNull(),
    classId: text().notNull(),
    /** Number of the lap in its heat, from 1. */
    lap: integer().notNull(),
    timeUs: bigint({ mode: 'number' }).notNull(),
    /** Empty, `crash` or `call`. */
    flag: text().notNull(),
  },
  (t) => [
    primaryKey({ columns: [t.clubId, t.importId, t.row] }),
    foreignKey({ columns: [t.clubId, t.importId], foreignColumns: [lapImport.clubId, lapImport.id] }).onDelete(
      'cascade',
    ),
    foreignKey({ columns: [t.clubId, t.driverId], foreignColumns: [driver.clubId, driver.id] }),
    foreignKey({ columns: [t.clubId, t.classId], foreignColumns: [carClass.clubId, carClass.id] }),
    index('past_lap_driver').on(t.clubId, t.driverId),
  ],
);

/** What was found out about everybody's pace; the latest one counts. */
export const paceFit = pgTable(
  'pace_fit',
  {
    clubId: text()
      .notNull()
      .references(() => club.id, { onDelete: 'cascade' }),
    /** From 1, rising. */
    n: integer().notNull(),
    /** Name and version of the model. */
    engine: text().notNull(),
    seed: bigint({ mode: 'number' }).notNull(),
    /** Of all laps and drivers that went in. */
    inputsHash: text().notNull(),
    /** What stood in the database when they were read: while it is the same they need not be read again. */
    inputsStamp: text().notNull(),
    laps: integer().notNull(),
    nights: integer().notNull(),
    /** The fit as JSON. */
    fit: exactText().notNull(),
    createdAt: timestamp({ withTimezone: true }).notNull().defaultNow(),
  },
  (t) => [primaryKey({ columns: [t.clubId, t.n] })],
);

/** The handicap of a heat as it was told before its start. */
export const heatHandicap = pgTable(
  'heat_handicap',
  {
    clubId: text().notNull(),
    meetingId: text().notNull(),
    heatId: exactText().notNull(),
    seed: bigint({ mode: 'number' }).notNull(),
    /** The fit it rests on; null where there was none. */
    fitN: integer(),
    /** JSON of a `ToldHandicap`. */
    plan: exactText().notNull(),
    createdAt: timestamp({ withTimezone: true }).notNull().defaultNow(),
  },
  (t) => [
    primaryKey({ columns: [t.clubId, t.meetingId, t.heatId] }),
    foreignKey({
      columns: [t.clubId, t.meetingId, t.heatId],
      foreignColumns: [heat.clubId, heat.meetingId, heat.id],
    }).onDelete('cascade'),
  ],
);

/** What `heat_handicap.plan` holds. */
export type ToldHandicap = {
  lanes: {
    lane: number;
    entryId: string;
    delayMs: number;
    /** Hundredths of a lap in a heat by time, milliseconds in a heat of laps. */
    credit: number;
    /** Chance to win without and with the handicap; null where no chance could be told. */
    before: number | null;
    after: number | null;
    provisional: boolean;
  }[];
};
