import { boolean, foreignKey, index, integer, pgTable, primaryKey, text, timestamp } from 'drizzle-orm/pg-core';
import { exactText } from '../exact-text.ts';
import { club } from './clubs.ts';

export const driver = pgTable(
  'driver',
  {
    clubId: text()
      .notNull()
      .references(() => club.id, { onDelete: 'cascade' }),
    id: text().notNull(),
    nickname: exactText().notNull(),
    /** The nickname folded for comparison (case, accents, spaces): two drivers should not look the same. */
    nicknameKey: exactText().notNull(),
    /** Whether the nickname may stand on public pages; if not, "Driver n" stands there. */
    public: boolean().notNull().default(true),
    /** Whether a draw may make the driver a marshal; clubs leave out small children. */
    marshals: boolean().notNull().default(true),
    /** `junior` or `adult`, or null where nobody said: juniors learn quickly. Never shown in public. */
    paceGroup: text().$type<'junior' | 'adult'>(),
    /** Nights raced before the first one that is stored here; 0 for somebody who had never raced. */
    nightsBefore: integer().notNull().default(0),
    /** Since when the driver's low marks count: the director forgave what was faster before. */
    paceResetAt: timestamp({ withTimezone: true }),
    archivedAt: timestamp({ withTimezone: true }),
    createdAt: timestamp({ withTimezone: true }).notNull().defaultNow(),
  },
  (t) => [primaryKey({ columns: [t.clubId, t.id] }), index('driver_nickname').on(t.clubId, t.nicknameKey)],
);

export const carClass = pgTable(
  'car_class',
  {
    clubId: text()
      .notNull()
      .references(() => club.id, { onDelete: 'cascade' }),
    id: text().notNull(),
    name: exactText().notNull(),
    archivedAt: timestamp({ withTimezone: true }),
    createdAt: timestamp({ withTimezone: true }).notNull().defaultNow(),
  },
  (t) => [primaryKey({ columns: [t.clubId, t.id] })],
);

export const car = pgTable(
  'car',
  {
    clubId: text()
      .notNull()
      .references(() => club.id, { onDelete: 'cascade' }),
    id: text().notNull(),
    name: exactText().notNull(),
    classId: text(),
    /** Whose car it is; null for a car of the club. */
    driverId: text(),
    archivedAt: timestamp({ withTimezone: true }),
    createdAt: timestamp({ withTimezone: true }).notNull().defaultNow(),
  },
  (t) => [
    primaryKey({ columns: [t.clubId, t.id] }),
    foreignKey({ columns: [t.clubId, t.classId], foreignColumns: [carClass.clubId, carClass.id] }),
    foreignKey({ columns: [t.clubId, t.driverId], foreignColumns: [driver.clubId, driver.id] }),
  ],
);
