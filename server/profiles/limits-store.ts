import { and, asc, eq, gte, isNotNull, isNull, or } from 'drizzle-orm';
import type { ClubTx } from '../../db/client.ts';
import { car, entry, meeting, race } from '../../db/schema/index.ts';

/** The strictest race limit that somebody is about to drive under. */
export type RaceLimit = { permille: number; raceName: string; meetingId: string };

/**
 * The strictest limit of the races in which a driver is entered, of today or later.
 *
 * @param carId the profile's car: races of another car do not matter; null for any car
 * @param today in the club's zone, `YYYY-MM-DD`
 */
export async function selectOptionalRaceLimit(
  tx: ClubTx,
  clubId: string,
  { driverId, carId }: { driverId: string; carId: string | null },
  today: string,
): Promise<RaceLimit | null> {
  const ofCar =
    carId === null ? undefined : or(eq(entry.carId, carId), and(isNull(entry.carId), eq(car.classId, race.classId)));
  const [row] = await tx
    .select({ permille: race.driveLimit, raceName: race.name, meetingId: meeting.id })
    .from(entry)
    .innerJoin(race, and(eq(race.clubId, entry.clubId), eq(race.meetingId, entry.meetingId), eq(race.id, entry.raceId)))
    .innerJoin(meeting, and(eq(meeting.clubId, entry.clubId), eq(meeting.id, entry.meetingId)))
    .leftJoin(car, and(eq(car.clubId, entry.clubId), eq(car.id, carId ?? '')))
    .where(
      and(
        eq(entry.clubId, clubId),
        eq(entry.driverId, driverId),
        isNull(entry.withdrawnAt),
        isNotNull(race.driveLimit),
        isNull(meeting.archivedAt),
        gte(meeting.date, today),
        ofCar,
      ),
    )
    .orderBy(asc(race.driveLimit), asc(meeting.date), asc(race.ordinal))
    .limit(1);
  return row && row.permille !== null ? { ...row, permille: row.permille } : null;
}
