import { and, asc, count, eq, type SQL, sql } from 'drizzle-orm';
import type { ClubTx } from '../../db/client.ts';
import { entry, heat, lap, race } from '../../db/schema/index.ts';
import type { MeetingKey } from '../meetings/store.ts';

/** How fast a driver of a race usually is. */
export type EntryPace = {
  entryId: string;
  /** Median clean lap in microseconds (of an even number the lower one of the middle two); null without such a lap. */
  medianUs: number | null;
  /** The clean laps it is taken from. */
  laps: number;
  /** Whether those are laps with cars of this race's class only. */
  ofClass: boolean;
};

/** So many clean laps with cars of the class say more than all laps together. */
const enoughOfClass = 10;

/**
 * The entries of a race, the fastest first: ordered by each driver's median clean lap in the confirmed heats of the
 * club, of the race's class of car where the driver has at least 10 of those, else of all classes. Who has no such lap
 * comes last; equals stand in the order of sign-up.
 *
 * Laps of all tracks and lanes are taken alike, although they differ in length: good enough to split the field of a club
 * into groups, not fair to drivers who raced on different tracks. Common practice, no source.
 *
 * @param key names the race
 */
export async function selectPaceOrder(tx: ClubTx, { clubId, meetingId, id: raceId }: MeetingKey): Promise<EntryPace[]> {
  const run = tx.$with('run').as(
    tx
      .select({ driverId: lap.driverId, durationUs: lap.durationUs, classId: race.classId })
      .from(lap)
      .innerJoin(heat, and(eq(heat.clubId, lap.clubId), eq(heat.meetingId, lap.meetingId), eq(heat.id, lap.heatId)))
      .innerJoin(race, and(eq(race.clubId, heat.clubId), eq(race.meetingId, heat.meetingId), eq(race.id, heat.raceId)))
      .where(and(eq(lap.clubId, clubId), sql`cardinality(${lap.flags}) = 0`)),
  );
  const isOfClass = sql`${run.classId} = ${race.classId}`;
  const median = (of: SQL) =>
    sql<number | null>`percentile_disc(0.5) within group (order by ${run.durationUs}) filter (where ${of})`.mapWith(
      Number,
    );
  const rows = await tx
    .with(run)
    .select({
      entryId: entry.id,
      laps: count(run.durationUs),
      lapsOfClass: sql`count(*) filter (where ${isOfClass})`.mapWith(Number),
      median: median(sql`true`),
      medianOfClass: median(isOfClass),
    })
    .from(entry)
    .innerJoin(race, and(eq(race.clubId, entry.clubId), eq(race.meetingId, entry.meetingId), eq(race.id, entry.raceId)))
    .leftJoin(run, eq(run.driverId, entry.driverId))
    .where(and(eq(entry.clubId, clubId), eq(entry.meetingId, meetingId), eq(entry.raceId, raceId)))
    .groupBy(entry.clubId, entry.meetingId, entry.id)
    .orderBy(asc(entry.ordinal), asc(entry.createdAt), asc(entry.id));
  return rows.map(paceOf).sort(byPace);
}

function paceOf(row: { entryId: string; laps: number; lapsOfClass: number } & Medians): EntryPace {
  const ofClass = row.lapsOfClass >= enoughOfClass;
  const { entryId } = row;
  return ofClass
    ? { entryId, medianUs: row.medianOfClass, laps: row.lapsOfClass, ofClass }
    : { entryId, medianUs: row.median, laps: row.laps, ofClass };
}

type Medians = { median: number | null; medianOfClass: number | null };

const byPace = (a: EntryPace, b: EntryPace) =>
  (a.medianUs ?? Number.MAX_SAFE_INTEGER) - (b.medianUs ?? Number.MAX_SAFE_INTEGER);
