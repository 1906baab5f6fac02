import { and, asc, countDistinct, desc, eq, inArray, isNull, sql } from 'drizzle-orm';
import type { ClubTx } from '../../db/client.ts';
import {
  entry,
  heat,
  heatEvent,
  heatHandicap,
  heatLane,
  lap,
  lapImport,
  meeting,
  pastLap,
  profileVersion,
  race,
} from '../../db/schema/index.ts';
import type { LapRow } from './lap-row.ts';
import { selectLapRows, selectNights } from './laps-store.ts';

/** A night as pages name it. */
export interface NamedNight {
  readonly night: number;
  /** Null for a night of an import. */
  readonly meetingId: string | null;
  readonly name: string;
  /** Day of the calendar; null where nobody knows. */
  readonly date: string | null;
}

/** Nights with laps, by number: those of imports first. */
export async function selectNamedNights(tx: ClubTx, clubId: string): Promise<NamedNight[]> {
  const imports = await tx
    .select({ name: lapImport.name, nights: lapImport.nights })
    .from(lapImport)
    .where(eq(lapImport.clubId, clubId))
    .orderBy(asc(lapImport.createdAt), asc(lapImport.id));
  const past = imports.flatMap(({ name, nights }) => Array.from({ length: nights }, () => name));
  const names = new Map(
    (await tx.select({ id: meeting.id, name: meeting.name }).from(meeting).where(eq(meeting.clubId, clubId))).map(
      ({ id, name }) => [id, name],
    ),
  );
  const own = (await selectNights(tx, clubId)).filter(({ hasLaps }) => hasLaps);
  return [
    ...past.map((name, i) => ({ night: i + 1, meetingId: null, name, date: null })),
    ...own.map(({ id, night, date }) => ({ night, meetingId: id, name: names.get(id) ?? '', date })),
  ];
}

/** Numbers of the nights on which a driver has laps, rising. */
export async function selectNightsOfDriver(
  tx: ClubTx,
  clubId: string,
  driverId: string,
  nights: readonly Pick<NamedNight, 'night' | 'meetingId'>[],
): Promise<number[]> {
  return [...((await selectNightsOfDrivers(tx, clubId, [driverId], nights)).get(driverId) ?? [])];
}

/** The same of several drivers, by driver. */
export async function selectNightsOfDrivers(
  tx: ClubTx,
  clubId: string,
  driverIds: readonly string[],
  nights: readonly Pick<NamedNight, 'night' | 'meetingId'>[],
): Promise<ReadonlyMap<string, readonly number[]>> {
  const own = await tx
    .selectDistinct({ driverId: lap.driverId, meetingId: lap.meetingId })
    .from(lap)
    .where(and(eq(lap.clubId, clubId), inArray(lap.driverId, [...driverIds])));
  const past = await tx
    .selectDistinct({ driverId: pastLap.driverId, importId: pastLap.importId, night: pastLap.night })
    .from(pastLap)
    .where(and(eq(pastLap.clubId, clubId), inArray(pastLap.driverId, [...driverIds])));
  const numberOf = new Map(nights.map(({ meetingId, night }) => [meetingId, night]));
  const imported = past.length === 0 ? new Map<string, number>() : await selectImportNumbers(tx, clubId);
  const out = new Map<string, number[]>(driverIds.map((id) => [id, []]));
  const note = (driverId: string, night: number | undefined) => {
    if (night !== undefined) out.get(driverId)?.push(night);
  };
  for (const { driverId, importId, night } of past) note(driverId, imported.get(importKey(importId, night)));
  for (const { driverId, meetingId } of own) note(driverId, numberOf.get(meetingId));
  for (const list of out.values()) list.sort((a, b) => a - b);
  return out;
}

const importKey = (importId: string, night: number) => JSON.stringify([importId, night]);

/** The numbers of the nights of all imports. */
async function selectImportNumbers(tx: ClubTx, clubId: string): Promise<ReadonlyMap<string, number>> {
  const rows = await tx
    .selectDistinct({ importId: pastLap.importId, night: pastLap.night, at: lapImport.createdAt })
    .from(pastLap)
    .innerJoin(lapImport, and(eq(lapImport.clubId, pastLap.clubId), eq(lapImport.id, pastLap.importId)))
    .where(eq(pastLap.clubId, clubId))
    .orderBy(asc(lapImport.createdAt), asc(pastLap.importId), asc(pastLap.night));
  return new Map(rows.map(({ importId, night }, i) => [importKey(importId, night), i + 1]));
}

/** Laps of everybody on one night, as the model reads them. */
export async function selectLapsOfNight(
  tx: ClubTx,
  clubId: string,
  { night, meetingId }: NamedNight,
): Promise<LapRow[]> {
  if (meetingId !== null) return selectLapRows(tx, clubId, { meetingIds: [meetingId] });
  const numbers = await selectImportNumbers(tx, clubId);
  const key = [...numbers].find(([, number]) => number === night)?.[0];
  if (key === undefined) return [];
  const [importId, inTable] = JSON.parse(key) as [string, number];
  const rows = await tx
    .select()
    .from(pastLap)
    .where(and(eq(pastLap.clubId, clubId), eq(pastLap.importId, importId), eq(pastLap.night, inTable)))
    .orderBy(asc(pastLap.row));
  return rows.map(
    ({ heat: name, startS, track, lane, driverId, classId, lap: number, timeUs, flag }): LapRow => ({
      ...{ night, heat: name, startS, track, lane, driver: driverId, carClass: classId },
      ...{ lap: number, timeS: timeUs / 1e6, flag: flag as LapRow['flag'] },
    }),
  );
}

/** What a heat of a meeting is called by. */
export interface HeatName {
  readonly ordinal: number;
  readonly race: string;
}

/** By heat. */
export async function selectHeatNames(
  tx: ClubTx,
  clubId: string,
  meetingId: string,
): Promise<ReadonlyMap<string, HeatName>> {
  const rows = await tx
    .select({ id: heat.id, ordinal: heat.ordinal, race: race.name })
    .from(heat)
    .innerJoin(race, and(eq(race.clubId, heat.clubId), eq(race.meetingId, heat.meetingId), eq(race.id, heat.raceId)))
    .where(and(eq(heat.clubId, clubId), eq(heat.meetingId, meetingId)));
  return new Map(rows.map(({ id, ...name }) => [id, name]));
}

/** The version of a controller profile that a driver had dialled in in a heat. */
export interface NotedVersion {
  readonly profileId: string;
  readonly version: number;
  readonly name: string;
}

/** What a driver had dialled in in the heats of a meeting, by heat; those that noted nothing are missing. */
export async function selectNotedVersions(
  tx: ClubTx,
  clubId: string,
  meetingId: string,
  driverId: string,
): Promise<ReadonlyMap<string, NotedVersion>> {
  const { profileId, version, setup } = profileVersion;
  const rows = await tx
    .select({ heat: heatLane.heatId, profileId, version, name: sql<string>`${setup}->>'name'` })
    .from(heatLane)
    .innerJoin(entry, onEntry())
    .innerJoin(
      profileVersion,
      and(
        eq(profileVersion.clubId, heatLane.clubId),
        eq(profileId, heatLane.profileId),
        eq(version, heatLane.profileVersion),
      ),
    )
    .where(and(eq(heatLane.clubId, clubId), eq(heatLane.meetingId, meetingId), eq(entry.driverId, driverId)));
  return new Map(rows.map(({ heat: id, ...noted }) => [id, noted]));
}

/** Laps in a usual heat of a driver, confirmed and imported; null without heats. */
export async function selectUsualHeatLaps(tx: ClubTx, clubId: string, driverId: string): Promise<number | null> {
  const [own] = await tx
    .select({ laps: sql`count(*)`.mapWith(Number), heats: countDistinct(sql`(${lap.meetingId}, ${lap.heatId})`) })
    .from(lap)
    .where(and(eq(lap.clubId, clubId), eq(lap.driverId, driverId)));
  const [past] = await tx
    .select({
      laps: sql`count(*)`.mapWith(Number),
      heats: countDistinct(sql`(${pastLap.importId}, ${pastLap.night}, ${pastLap.heat})`),
    })
    .from(pastLap)
    .where(and(eq(pastLap.clubId, clubId), eq(pastLap.driverId, driverId)));
  const heats = (own?.heats ?? 0) + (past?.heats ?? 0);
  return heats === 0 ? null : Math.round(((own?.laps ?? 0) + (past?.laps ?? 0)) / heats);
}

/** What was told of a heat in which a driver starts, or started. */
export interface ToldToDriver {
  readonly meeting: Pick<typeof meeting.$inferSelect, 'id' | 'name' | 'trackId' | 'date'>;
  readonly race: typeof race.$inferSelect;
  readonly heat: { readonly id: string; readonly ordinal: number };
  readonly entryId: string;
  /** As stored. */
  readonly plan: string;
  readonly lanes: readonly { readonly lane: number; readonly entryId: string; readonly driverId: string }[];
}

/** The driver's next heat with a handicap; where none is to come, the last one; null without any. */
export async function selectToldToDriver(tx: ClubTx, clubId: string, driverId: string): Promise<ToldToDriver | null> {
  const started = tx
    .select({ n: heatEvent.n })
    .from(heatEvent)
    .where(
      and(
        eq(heatEvent.clubId, heatHandicap.clubId),
        eq(heatEvent.meetingId, heatHandicap.meetingId),
        eq(heatEvent.heatId, heatHandicap.heatId),
        eq(heatEvent.kind, 'start'),
      ),
    );
  const isStarted = sql<boolean>`exists ${started}`;
  const [row] = await tx
    .select({ meeting, race, heat, entryId: entry.id, plan: heatHandicap.plan })
    .from(heatHandicap)
    .innerJoin(
      heat,
      and(
        eq(heat.clubId, heatHandicap.clubId),
        eq(heat.meetingId, heatHandicap.meetingId),
        eq(heat.id, heatHandicap.heatId),
      ),
    )
    .innerJoin(heatLane, onHeat())
    .innerJoin(entry, onEntry())
    .innerJoin(race, and(eq(race.clubId, heat.clubId), eq(race.meetingId, heat.meetingId), eq(race.id, heat.raceId)))
    .innerJoin(meeting, and(eq(meeting.clubId, heat.clubId), eq(meeting.id, heat.meetingId)))
    .where(and(eq(heatHandicap.clubId, clubId), eq(entry.driverId, driverId), isNull(heat.removedAt)))
    .orderBy(
      desc(meeting.date),
      asc(isStarted),
      // The first of those to come, the last of those that were run.
      asc(sql`case when ${isStarted} then -${heat.ordinal} else ${heat.ordinal} end`),
    )
    .limit(1);
  if (!row) return null;
  const lanes = await tx
    .select({ lane: heatLane.lane, entryId: heatLane.entryId, driverId: entry.driverId })
    .from(heatLane)
    .innerJoin(entry, onEntry())
    .where(and(eq(heatLane.clubId, clubId), eq(heatLane.meetingId, row.meeting.id), eq(heatLane.heatId, row.heat.id)))
    .orderBy(asc(heatLane.lane));
  return { ...row, lanes };
}

const onHeat = () =>
  and(eq(heatLane.clubId, heat.clubId), eq(heatLane.meetingId, heat.meetingId), eq(heatLane.heatId, heat.id));
const onEntry = () =>
  and(eq(entry.clubId, heatLane.clubId), eq(entry.meetingId, heatLane.meetingId), eq(entry.id, heatLane.entryId));
