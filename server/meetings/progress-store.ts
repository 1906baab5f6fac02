import { and, count, countDistinct, eq, inArray, sql } from 'drizzle-orm';
import type { ClubTx } from '../../db/client.ts';
import { entry, heat, heatEvent, heatLane, heatMarshal } from '../../db/schema/index.ts';
import { groupBy } from '../shared/group-by.ts';

/** How far a meeting is: what may still be changed depends on it. */

/** Heats of a meeting, also those taken off the plan after they were armed. */
export async function countHeats(tx: ClubTx, clubId: string, meetingId: string): Promise<number> {
  const [row] = await tx
    .select({ heats: count() })
    .from(heat)
    .where(and(eq(heat.clubId, clubId), eq(heat.meetingId, meetingId)));
  return row?.heats ?? 0;
}

/** How far a race is: heats on its plan, and whether any was ever armed or started. */
export type RaceProgress = { heats: number; armed: boolean; started: boolean };

/** Progress of each race of a meeting that has heats, by race id. */
export async function selectRaceProgress(
  tx: ClubTx,
  clubId: string,
  meetingId: string,
): Promise<ReadonlyMap<string, RaceProgress>> {
  const rows = await tx
    .select({
      raceId: heat.raceId,
      heats: sql<number>`count(distinct ${heat.id}) filter (where ${heat.removedAt} is null)`.mapWith(Number),
      armed: sql<boolean>`bool_or(${heatEvent.n} is not null)`,
      started: sql<boolean>`coalesce(bool_or(${heatEvent.kind} = 'start'), false)`,
    })
    .from(heat)
    .leftJoin(
      heatEvent,
      and(eq(heatEvent.clubId, heat.clubId), eq(heatEvent.meetingId, heat.meetingId), eq(heatEvent.heatId, heat.id)),
    )
    .where(and(eq(heat.clubId, clubId), eq(heat.meetingId, meetingId)))
    .groupBy(heat.raceId);
  return new Map(rows.map(({ raceId, ...progress }) => [raceId, progress]));
}

/** What names an entry: how many heats it drives or marshals in, by race of the heat, and whether a ruling names it. */
export type EntryUse = { driving: number; marshalling: string[]; ruled: boolean };

/** Uses of a meeting's entries by entry id; an entry that is not there is named nowhere. */
export async function selectEntryUses(
  tx: ClubTx,
  clubId: string,
  meetingId: string,
): Promise<ReadonlyMap<string, EntryUse>> {
  const uses = new Map<string, EntryUse>();
  const use = (id: string) => {
    const one = uses.get(id) ?? { driving: 0, marshalling: [], ruled: false };
    uses.set(id, one);
    return one;
  };
  const lanes = await tx
    .select({ entryId: heatLane.entryId })
    .from(heatLane)
    .where(and(eq(heatLane.clubId, clubId), eq(heatLane.meetingId, meetingId)));
  for (const [id, rows] of groupBy(lanes, (row) => row.entryId)) use(id).driving = rows.length;
  const duties = await tx
    .select({ entryId: heatMarshal.entryId, raceId: heat.raceId })
    .from(heatMarshal)
    .innerJoin(
      heat,
      and(
        eq(heat.clubId, heatMarshal.clubId),
        eq(heat.meetingId, heatMarshal.meetingId),
        eq(heat.id, heatMarshal.heatId),
      ),
    )
    .where(and(eq(heatMarshal.clubId, clubId), eq(heatMarshal.meetingId, meetingId)));
  for (const { entryId, raceId } of duties) use(entryId).marshalling.push(raceId);
  const rulings = await tx
    .select({ target: heatEvent.target })
    .from(heatEvent)
    .where(
      and(
        eq(heatEvent.clubId, clubId),
        eq(heatEvent.meetingId, meetingId),
        inArray(heatEvent.kind, ['adjust', 'exclude']),
      ),
    );
  for (const { target } of rulings) {
    const named = JSON.parse(target ?? '{}') as { entry?: string };
    if (named.entry !== undefined) use(named.entry).ruled = true;
  }
  return uses;
}

/** The most started heats that any entry of a race has; void ones too, so it can be more than were counted. */
export async function mostHeatsRun(tx: ClubTx, clubId: string, meetingId: string, raceId: string): Promise<number> {
  const runs = await tx
    .select({ heats: countDistinct(heatLane.heatId) })
    .from(heatLane)
    .innerJoin(
      heat,
      and(eq(heat.clubId, heatLane.clubId), eq(heat.meetingId, heatLane.meetingId), eq(heat.id, heatLane.heatId)),
    )
    .innerJoin(
      heatEvent,
      and(
        eq(heatEvent.clubId, heat.clubId),
        eq(heatEvent.meetingId, heat.meetingId),
        eq(heatEvent.heatId, heat.id),
        eq(heatEvent.kind, 'start'),
      ),
    )
    .where(and(eq(heat.clubId, clubId), eq(heat.meetingId, meetingId), eq(heat.raceId, raceId)))
    .groupBy(heatLane.entryId);
  return Math.max(0, ...runs.map((row) => row.heats));
}

/** How many meetings each driver was entered in, for the order of a list of choices. */
export async function countMeetingsByDriver(tx: ClubTx, clubId: string): Promise<ReadonlyMap<string, number>> {
  const rows = await tx
    .select({ driverId: entry.driverId, meetings: countDistinct(entry.meetingId) })
    .from(entry)
    .where(eq(entry.clubId, clubId))
    .groupBy(entry.driverId);
  return new Map(rows.map((row) => [row.driverId, row.meetings]));
}
