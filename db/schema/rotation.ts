import { bigint, foreignKey, integer, jsonb, pgTable, primaryKey, text, timestamp } from 'drizzle-orm/pg-core';
import { exactText } from '../exact-text.ts';
import { race } from './meetings.ts';

/** Every draw of a race that was taken, oldest first: what went in, so that it can be drawn again and compared. */
export const draw = pgTable(
  'draw',
  {
    clubId: text().notNull(),
    meetingId: text().notNull(),
    raceId: exactText().notNull(),
    /** From 1, in the order in which they were taken. */
    n: integer().notNull(),
    /** Name and version of the engine. */
    engine: text().notNull(),
    seed: bigint({ mode: 'number' }).notNull(),
    /** The complete request as JSON, as `lanewise draw --in` reads it; drivers are ids of entries. */
    request: exactText().notNull(),
    /** The certificate as it was shown. */
    certificate: jsonb().$type<unknown>().notNull(),
    createdAt: timestamp({ withTimezone: true }).notNull().defaultNow(),
  },
  (t) => [
    primaryKey({ columns: [t.clubId, t.meetingId, t.raceId, t.n] }),
    foreignKey({
      columns: [t.clubId, t.meetingId, t.raceId],
      foreignColumns: [race.clubId, race.meetingId, race.id],
    }).onDelete('cascade'),
  ],
);
