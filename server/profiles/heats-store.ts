import { and, desc, eq, exists, sql } from 'drizzle-orm';
import type { ClubTx } from '../../db/client.ts';
import { entry, heat, heatEvent, heatLane, meeting, profileVersion, race } from '../../db/schema/index.ts';
import { choiceInUse } from './in-use.ts';
import { selectChosen } from './in-use-store.ts';

/** A heat, named as the meeting names it. */
export type HeatKey = { clubId: string; meetingId: string; heatId: string };

/**
 * Notes which profile and version every driver of a heat has in use. Nothing but rows of this transaction's own reading is
 * pointed at, and versions are never deleted, so this cannot be why a start fails.
 */
export async function noteInUse(
  tx: ClubTx,
  { clubId, meetingId, heatId }: HeatKey,
  place: { trackId: string; classId: string },
  lanes: readonly { lane: number; driverId: string; carId: string | null }[],
): Promise<void> {
  if (lanes.length === 0) return;
  const chosen = await selectChosen(
    tx,
    clubId,
    lanes.map(({ driverId }) => driverId),
  );
  const rows = lanes.map(({ lane, driverId, carId }) => {
    const own = chosen.filter((choice) => choice.driverId === driverId);
    const inUse = choiceInUse(own, { ...place, lane, carId });
    return sql`(${lane}::integer, ${inUse?.profileId ?? null}::text, ${inUse?.version ?? null}::integer)`;
  });
  await tx.execute(sql`
    update ${heatLane} set profile_id = noted.profile_id, profile_version = noted.version
    from (values ${sql.join(rows, sql`, `)}) as noted (lane, profile_id, version)
    where ${heatLane.clubId} = ${clubId} and ${heatLane.meetingId} = ${meetingId} and ${heatLane.heatId} = ${heatId}
      and ${heatLane.lane} = noted.lane
  `);
}

/** A heat that a driver has driven, with the profile noted for it. */
export type DrivenHeat = {
  meetingId: string;
  meetingName: string;
  date: string;
  trackId: string;
  trackName: string;
  raceId: string;
  raceName: string;
  heatId: string;
  /** Place of the heat in its race, from 1. */
  number: number;
  lane: number;
  carId: string | null;
  /** Null where nothing was noted. */
  profileId: string | null;
  version: number | null;
  /** Name of that version's settings. */
  profileName: string | null;
};

/** The heats that a driver has started in, the latest first; those with one profile alone where one is named. */
export async function selectDrivenHeats(
  tx: ClubTx,
  clubId: string,
  driverId: string,
  limit: number,
  profileId?: string,
): Promise<DrivenHeat[]> {
  const started = tx
    .select({ one: sql`1` })
    .from(heatEvent)
    .where(
      and(
        eq(heatEvent.clubId, heatLane.clubId),
        eq(heatEvent.meetingId, heatLane.meetingId),
        eq(heatEvent.heatId, heatLane.heatId),
        eq(heatEvent.kind, 'start'),
      ),
    );
  return tx
    .select({
      meetingId: meeting.id,
      meetingName: meeting.name,
      date: meeting.date,
      trackId: meeting.trackId,
      trackName: meeting.trackName,
      raceId: race.id,
      raceName: race.name,
      heatId: heat.id,
      number: sql<number>`(select count(*) from ${heat} other where other.club_id = ${heat.clubId}
        and other.meeting_id = ${heat.meetingId} and other.race_id = ${heat.raceId} and other.removed_at is null
        and (other.ordinal, other.id) <= (${heat.ordinal}, ${heat.id}))`.mapWith(Number),
      lane: heatLane.lane,
      carId: entry.carId,
      profileId: heatLane.profileId,
      version: heatLane.profileVersion,
      profileName: sql<string | null>`${profileVersion.setup} ->> 'name'`,
    })
    .from(entry)
    .innerJoin(
      heatLane,
      and(eq(heatLane.clubId, entry.clubId), eq(heatLane.meetingId, entry.meetingId), eq(heatLane.entryId, entry.id)),
    )
    .innerJoin(
      heat,
      and(eq(heat.clubId, heatLane.clubId), eq(heat.meetingId, heatLane.meetingId), eq(heat.id, heatLane.heatId)),
    )
    .innerJoin(race, and(eq(race.clubId, heat.clubId), eq(race.meetingId, heat.meetingId), eq(race.id, heat.raceId)))
    .innerJoin(meeting, and(eq(meeting.clubId, heat.clubId), eq(meeting.id, heat.meetingId)))
    .leftJoin(
      profileVersion,
      and(
        eq(profileVersion.clubId, heatLane.clubId),
        eq(profileVersion.profileId, heatLane.profileId),
        eq(profileVersion.version, heatLane.profileVersion),
      ),
    )
    .where(
      and(
        eq(entry.clubId, clubId),
        eq(entry.driverId, driverId),
        profileId === undefined ? undefined : eq(heatLane.profileId, profileId),
        exists(started),
      ),
    )
    .orderBy(desc(meeting.date), desc(meeting.createdAt), desc(race.ordinal), desc(heat.ordinal), desc(heat.id))
    .limit(limit);
}

/**
 * Says with which version a driver drove in a heat, or that nobody knows (null). Results rest on other columns.
 *
 * @returns whether the driver has such a lane
 */
export async function updateHeatProfile(
  tx: ClubTx,
  { clubId, meetingId, heatId }: HeatKey,
  of: { driverId: string; lane: number },
  used: { profileId: string; version: number } | null,
): Promise<boolean> {
  const own = tx
    .select({ one: sql`1` })
    .from(entry)
    .where(
      and(
        eq(entry.clubId, heatLane.clubId),
        eq(entry.meetingId, heatLane.meetingId),
        eq(entry.id, heatLane.entryId),
        eq(entry.driverId, of.driverId),
      ),
    );
  const rows = await tx
    .update(heatLane)
    .set({ profileId: used?.profileId ?? null, profileVersion: used?.version ?? null })
    .where(
      and(
        eq(heatLane.clubId, clubId),
        eq(heatLane.meetingId, meetingId),
        eq(heatLane.heatId, heatId),
        eq(heatLane.lane, of.lane),
        exists(own),
      ),
    )
    .returning({ lane: heatLane.lane });
  return rows.length > 0;
}
