import { bigint, boolean, jsonb, pgTable, text, timestamp } from 'drizzle-orm/pg-core';

/** A club or a family. Every other row belongs to one. */
export const club = pgTable('club', {
  id: text().primaryKey(),
  /** The club's part of every address, `/c/<slug>`. */
  slug: text().notNull().unique(),
  name: text().notNull(),
  /** IANA time zone in which times of day are shown, such as `Europe/Vienna`. */
  zone: text().notNull(),
  /** What draws of this club weigh first: `opponents`, `balanced` or `rest`. */
  drawPreset: text().notNull().default('opponents'),
  /** How far a driver's handicap may follow slowness; shares of a lap time. Null: as usual. */
  slowGuard: jsonb().$type<{ on: boolean; margin: number; soft: number; hard: number }>(),
  /** True for the invented club that shows every page with something on it. */
  sample: boolean().notNull().default(false),
  createdAt: timestamp({ withTimezone: true }).notNull().defaultNow(),
});

/**
 * The zero point of the server's time scale for one boot of one machine. Every process of that boot continues the
 * same scale, whatever happens to the wall clock.
 */
export const clockAnchor = pgTable('clock_anchor', {
  bootId: text().primaryKey(),
  monotonicUs: bigint({ mode: 'number' }).notNull(),
  wallUs: bigint({ mode: 'number' }).notNull(),
});
