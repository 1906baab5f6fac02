import { and, eq, inArray, isNotNull, max, notInArray, sql } from 'drizzle-orm';
import type { ClubTx } from '../../db/client.ts';
import { entry, heatEvent, heatHandicap, heatLane, paceFit, race } from '../../db/schema/index.ts';
import type { MeetingKey } from '../meetings/store.ts';
import { type RaceHandicap, readTold, type ToldHeat } from './told.ts';

/** What was told of the heats of a meeting, by heat. */
export async function selectHeatHandicaps(
  tx: ClubTx,
  clubId: string,
  meetingId: string,
): Promise<Map<string, ToldHeat>> {
  const rows = await tx
    .select({ heatId: heatHandicap.heatId, plan: heatHandicap.plan })
    .from(heatHandicap)
    .where(and(eq(heatHandicap.clubId, clubId), eq(heatHandicap.meetingId, meetingId)));
  return new Map(
    rows.flatMap(({ heatId, plan }) => {
      const told = readTold(plan);
      return told ? [[heatId, told] as const] : [];
    }),
  );
}

/** What was told of one heat. */
export async function selectOptionalHeatHandicap(tx: ClubTx, key: MeetingKey): Promise<ToldHeat | null> {
  const [row] = await tx
    .select({ plan: heatHandicap.plan })
    .from(heatHandicap)
    .where(
      and(
        eq(heatHandicap.clubId, key.clubId),
        eq(heatHandicap.meetingId, key.meetingId),
        eq(heatHandicap.heatId, key.id),
      ),
    );
  return row ? readTold(row.plan) : null;
}

export async function upsertHeatHandicap(
  tx: ClubTx,
  { clubId, meetingId, id: heatId }: MeetingKey,
  { seed, fitN, told }: { seed: number; fitN: number | null; told: ToldHeat },
): Promise<void> {
  const set = { seed, fitN, plan: JSON.stringify(told), createdAt: sql`now()` };
  await tx
    .insert(heatHandicap)
    .values({ clubId, meetingId, heatId, ...set })
    .onConflictDoUpdate({ target: [heatHandicap.clubId, heatHandicap.meetingId, heatHandicap.heatId], set });
}

export async function deleteHeatHandicaps(
  tx: ClubTx,
  clubId: string,
  meetingId: string,
  heatIds: readonly string[],
): Promise<void> {
  if (heatIds.length === 0) return;
  await tx
    .delete(heatHandicap)
    .where(
      and(
        eq(heatHandicap.clubId, clubId),
        eq(heatHandicap.meetingId, meetingId),
        inArray(heatHandicap.heatId, [...heatIds]),
      ),
    );
}

/** When one lane of a heat starts. */
export async function updateLaneDelay(
  tx: ClubTx,
  { clubId, meetingId, id }: MeetingKey,
  lane: number,
  delayMs: number,
): Promise<void> {
  await tx
    .update(heatLane)
    .set({ delayMs })
    .where(
      and(
        eq(heatLane.clubId, clubId),
        eq(heatLane.meetingId, meetingId),
        eq(heatLane.heatId, id),
        eq(heatLane.lane, lane),
      ),
    );
}

export async function updateRaceHandicap(tx: ClubTx, key: MeetingKey, handicap: RaceHandicap | null): Promise<void> {
  await tx
    .update(race)
    .set({ handicap })
    .where(and(eq(race.clubId, key.clubId), eq(race.meetingId, key.meetingId), eq(race.id, key.id)));
}

/** Whether a driver's handicap is laid down by hand, and what it then is. */
export async function updateEntryHandicap(
  tx: ClubTx,
  key: MeetingKey,
  set: { handicapByHand: boolean; delayMs: number; credit: number },
): Promise<void> {
  await tx
    .update(entry)
    .set(set)
    .where(and(eq(entry.clubId, key.clubId), eq(entry.meetingId, key.meetingId), eq(entry.id, key.id)));
}

const pressed = ['arm', 'start', 'hold', 'resume', 'stop', 'finish'];

/** Rises with every confirmed heat and every ruling of a meeting: while it is the same, so are the laps. */
export async function selectRulingMark(tx: ClubTx, clubId: string, meetingId: string): Promise<number> {
  const [row] = await tx
    .select({ last: sql<number>`coalesce(max(${heatEvent.factNo}), 0)`.mapWith(Number) })
    .from(heatEvent)
    .where(and(eq(heatEvent.clubId, clubId), eq(heatEvent.meetingId, meetingId), notInArray(heatEvent.kind, pressed)));
  return row?.last ?? 0;
}

/** Meetings in which a driver is entered in a race with a handicap. */
export async function selectMeetingsWithHandicap(tx: ClubTx, clubId: string, driverId: string): Promise<string[]> {
  const rows = await tx
    .selectDistinct({ id: entry.meetingId })
    .from(entry)
    .innerJoin(race, and(eq(race.clubId, entry.clubId), eq(race.meetingId, entry.meetingId), eq(race.id, entry.raceId)))
    .where(and(eq(entry.clubId, clubId), eq(entry.driverId, driverId), isNotNull(race.handicap)));
  return rows.map(({ id }) => id);
}

/** The number of the club's latest fit; null where there is none. */
export async function selectLatestFitNumber(tx: ClubTx, clubId: string): Promise<number | null> {
  const [row] = await tx
    .select({ n: max(paceFit.n) })
    .from(paceFit)
    .where(eq(paceFit.clubId, clubId));
  return row?.n ?? null;
}
