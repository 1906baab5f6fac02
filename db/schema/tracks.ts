import { bigint, boolean, foreignKey, integer, pgTable, primaryKey, text, timestamp } from 'drizzle-orm/pg-core';
import { exactText } from '../exact-text.ts';
import { club } from './clubs.ts';

export const track = pgTable(
  'track',
  {
    clubId: text()
      .notNull()
      .references(() => club.id, { onDelete: 'cascade' }),
    id: text().notNull(),
    name: exactText().notNull(),
    /** Where cars wait: `ahead`, `behind` or `carry`. */
    startMode: text().notNull(),
    /** How long after power off a crossing may still count: in a track call, and at the end. */
    holdRollUs: bigint({ mode: 'number' }).notNull(),
    endRollUs: bigint({ mode: 'number' }).notNull(),
    /** Number of the last fact on this track. Its row lock puts facts in an order every reader sees. */
    factNo: bigint({ mode: 'number' }).notNull().default(0),
    /** Rises with every change of what is planned on this track: entries, heats, settings. */
    planNo: bigint({ mode: 'number' }).notNull().default(0),
    /** True for a track that came with an imported meeting; it is that meeting's own. */
    imported: boolean().notNull().default(false),
    archivedAt: timestamp({ withTimezone: true }),
    createdAt: timestamp({ withTimezone: true }).notNull().defaultNow(),
  },
  (t) => [primaryKey({ columns: [t.clubId, t.id] })],
);

export const lane = pgTable(
  'lane',
  {
    clubId: text().notNull(),
    trackId: text().notNull(),
    /** From 1, as painted on the track. */
    number: integer().notNull(),
    /** `#rrggbb` of the lane's sticker. */
    colour: text().notNull(),
    /** Name of the hatch pattern that tells lanes apart without colour. */
    pattern: text().notNull(),
    lengthMm: bigint({ mode: 'number' }).notNull(),
    /** The lane's shortest possible lap. */
    minLapUs: bigint({ mode: 'number' }).notNull(),
  },
  (t) => [
    primaryKey({ columns: [t.clubId, t.trackId, t.number] }),
    foreignKey({ columns: [t.clubId, t.trackId], foreignColumns: [track.clubId, track.id] }).onDelete('cascade'),
  ],
);
