import { and, asc, eq, exists, gt, isNull, min, not, sql } from 'drizzle-orm';
import type { ClubTx } from '../../db/client.ts';
import { heat, heatEvent, heatLane, lap, meeting, type TrackSettings } from '../../db/schema/index.ts';

/** What meetings do with a track. The tables are those of later features; the track itself needs to know. */

/** Gives every meeting on the track in which no heat was started these settings; a meeting that has begun keeps its own. */
export async function updateSnapshots(
  tx: ClubTx,
  clubId: string,
  trackId: string,
  set: { trackName: string; trackSettings: TrackSettings },
): Promise<void> {
  const started = tx
    .select({ one: sql`1` })
    .from(heatEvent)
    .where(and(eq(heatEvent.clubId, meeting.clubId), eq(heatEvent.meetingId, meeting.id), eq(heatEvent.kind, 'start')));
  await tx
    .update(meeting)
    .set(set)
    .where(and(eq(meeting.clubId, clubId), eq(meeting.trackId, trackId), not(exists(started))));
}

/**
 * A heat that still needs a lane above `lastLane`: planned or run, but not confirmed, in a meeting that is not
 * archived.
 *
 * @returns the highest such lane with its meeting's name; null when no heat stands in the way
 */
export async function selectOptionalHeatAbove(
  tx: ClubTx,
  clubId: string,
  trackId: string,
  lastLane: number,
): Promise<{ lane: number; meetingName: string } | null> {
  const confirmed = tx
    .select({ one: sql`1` })
    .from(heatEvent)
    .where(
      and(
        eq(heatEvent.clubId, heatLane.clubId),
        eq(heatEvent.meetingId, heatLane.meetingId),
        eq(heatEvent.heatId, heatLane.heatId),
        eq(heatEvent.kind, 'confirm'),
      ),
    );
  const [row] = await tx
    .select({ lane: heatLane.lane, meetingName: meeting.name })
    .from(heatLane)
    .innerJoin(
      heat,
      and(eq(heat.clubId, heatLane.clubId), eq(heat.meetingId, heatLane.meetingId), eq(heat.id, heatLane.heatId)),
    )
    .innerJoin(meeting, and(eq(meeting.clubId, heatLane.clubId), eq(meeting.id, heatLane.meetingId)))
    .where(
      and(
        eq(heatLane.clubId, clubId),
        eq(meeting.trackId, trackId),
        gt(heatLane.lane, lastLane),
        isNull(heat.removedAt),
        isNull(meeting.archivedAt),
        not(exists(confirmed)),
      ),
    )
    .orderBy(sql`${heatLane.lane} desc`, asc(meeting.date))
    .limit(1);
  return row ?? null;
}

/** The shortest lap without a flag that was ever counted on each lane of a track, in microseconds. */
export async function selectBestCleanLaps(
  tx: ClubTx,
  clubId: string,
  trackId: string,
): Promise<ReadonlyMap<number, number>> {
  const rows = await tx
    .select({ lane: lap.lane, bestUs: min(lap.durationUs) })
    .from(lap)
    .innerJoin(meeting, and(eq(meeting.clubId, lap.clubId), eq(meeting.id, lap.meetingId)))
    .where(and(eq(lap.clubId, clubId), eq(meeting.trackId, trackId), sql`cardinality(${lap.flags}) = 0`))
    .groupBy(lap.lane);
  return new Map(rows.flatMap(({ lane, bestUs }) => (bestUs === null ? [] : [[lane, bestUs] as const])));
}
