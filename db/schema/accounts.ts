import { index, integer, pgTable, primaryKey, text, timestamp } from 'drizzle-orm/pg-core';
import { club } from './clubs.ts';

/** A signed-in browser. Only the hash of its cookie is kept. */
export const session = pgTable(
  'session',
  {
    clubId: text()
      .notNull()
      .references(() => club.id, { onDelete: 'cascade' }),
    tokenHash: text().notNull(),
    /** `director`, `timekeeper` or `driver`; text, because later roles are more words. */
    role: text().notNull(),
    /** What the director sees in the list of signed-in devices. */
    label: text().notNull(),
    /** Set for the session of a driver who joined by code. */
    driverId: text(),
    /** The meeting a driver's session was opened for. */
    meetingId: text(),
    createdAt: timestamp({ withTimezone: true }).notNull().defaultNow(),
    seenAt: timestamp({ withTimezone: true }).notNull().defaultNow(),
    expiresAt: timestamp({ withTimezone: true }).notNull(),
  },
  (t) => [primaryKey({ columns: [t.clubId, t.tokenHash] })],
);

/** A one-time link into a club: the director's from the terminal, a timekeeper's from the director's screen. */
export const invite = pgTable(
  'invite',
  {
    clubId: text()
      .notNull()
      .references(() => club.id, { onDelete: 'cascade' }),
    codeHash: text().notNull(),
    role: text().notNull(),
    /** Whose own device is invited; null for other roles. */
    driverId: text(),
    createdAt: timestamp({ withTimezone: true }).notNull().defaultNow(),
    expiresAt: timestamp({ withTimezone: true }).notNull(),
    usedAt: timestamp({ withTimezone: true }),
  },
  (t) => [primaryKey({ columns: [t.clubId, t.codeHash] })],
);

/** The code that lets somebody set up the first club on an empty database. */
export const setupCode = pgTable('setup_code', {
  codeHash: text().primaryKey(),
  failures: integer().notNull().default(0),
  expiresAt: timestamp({ withTimezone: true }).notNull(),
});

/** A command that was carried out: the same press sent twice is answered, not repeated. */
export const command = pgTable(
  'command',
  {
    clubId: text()
      .notNull()
      .references(() => club.id, { onDelete: 'cascade' }),
    id: text().notNull(),
    /** The address that a form led to; null for commands that are answered otherwise. */
    answer: text(),
    createdAt: timestamp({ withTimezone: true }).notNull().defaultNow(),
  },
  (t) => [primaryKey({ columns: [t.clubId, t.id] }), index('command_age').on(t.createdAt)],
);
