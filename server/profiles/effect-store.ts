import { setImmediate } from 'node:timers/promises';
import { and, eq, inArray, isNull, sql } from 'drizzle-orm';
import type { ClubTx } from '../../db/client.ts';
import { entry, heat, heatLane, lap, profile, profileVersion, race } from '../../db/schema/index.ts';
import { LapColumnsBuilder, lapsOf } from '../pace/lap-columns.ts';
import {
  lapsAsText,
  type RaceNight,
  selectHeatStartsOf,
  selectLapRows,
  selectNights,
  takeHeat,
  tellsPace,
} from '../pace/laps-store.ts';
import type { PaceFit } from '../pace/pace-fit.ts';
import { selectNightsOfDrivers } from '../pace/pages-store.ts';
import { pastOf, type SeenNight } from '../pace/setting-past.ts';
import { groupBy } from '../shared/group-by.ts';
import { seenBy, setupHeats } from './effect/heat-laps.ts';
import { type HashedVersion, KnownHeats, type OneVersion } from './effect/known-heats.ts';
import type { SetupEffect } from './effect/setup-effect.ts';
import { effectKey, type VersionEffect } from './effect/version-effect.ts';

/** What the versions of profiles did, from the confirmed heats that noted them. */

/**
 * Whether each version of a profile helped, the latest first.
 *
 * @param fit the club's latest; null before there is one
 */
export async function selectEffects(
  tx: ClubTx,
  clubId: string,
  profileId: string,
  fit: PaceFit | null,
): Promise<VersionEffect[]> {
  return (await selectKnownHeats(tx, clubId, [profileId], fit)).effectsOf(profileId);
}

/**
 * What version `b` did against version `a`, of one profile or of two of one driver's.
 *
 * @returns null where there is no such version, both are the same setup, or they belong to different drivers
 */
export async function selectOptionalEffectBetween(
  tx: ClubTx,
  clubId: string,
  a: OneVersion,
  b: OneVersion,
  fit: PaceFit | null,
): Promise<SetupEffect | null> {
  return (await selectKnownHeats(tx, clubId, [a.profileId, b.profileId], fit)).between(a, b);
}

/** `effectKey` of versions, by `versionKey`: for lists in which setups that helped stand first. */
export async function selectEffectKeys(
  tx: ClubTx,
  clubId: string,
  wanted: readonly OneVersion[],
  fit: PaceFit | null,
): Promise<ReadonlyMap<string, number>> {
  const profileIds = wanted.map(({ profileId }) => profileId);
  const known = await selectKnownHeats(tx, clubId, profileIds, fit);
  const keys = new Map<string, number>();
  for (const one of wanted) {
    if (keys.has(versionKey(one))) continue;
    // Each takes about a millisecond, and a library may hold thousands: crossings come in between.
    if (keys.size % 8 === 7) await setImmediate();
    const [effect] = known.effectsOf(one.profileId, new Set([one.version]));
    keys.set(versionKey(one), effectKey(effect ?? null));
  }
  return keys;
}

export const versionKey = ({ profileId, version }: OneVersion): string => `${version} ${profileId}`;

/** Nights the fit does not know whose laps of everybody are read; of others no more is known than of any night. */
const mostSeenNights = 3;

/** The heats of some profiles: a handful of queries, however many they are. */
async function selectKnownHeats(
  tx: ClubTx,
  clubId: string,
  profiles: readonly string[],
  fit: PaceFit | null,
): Promise<KnownHeats> {
  const profileIds = [...new Set(profiles)];
  const versions = await selectHashedVersions(tx, clubId, profileIds);
  const found = await selectNotedHeats(tx, clubId, profileIds);
  if (found.length === 0) return new KnownHeats(versions, [], (driver) => pastOf(fit, driver, []), fit);
  const nights = (await selectNights(tx, clubId)).filter(({ hasLaps }) => hasLaps);
  const nightOf = new Map(nights.map((night) => [night.id, night]));
  const drivers = new Set(found.map(({ driver }) => driver));
  const attended = await selectNightsOfDrivers(
    tx,
    clubId,
    [...drivers],
    nights.map(({ id, night }) => ({ meetingId: id, night })),
  );
  const driven = new Set(found.flatMap(({ meetingId }) => nightOf.get(meetingId) ?? []));
  const starts = await selectHeatStartsOf(
    tx,
    clubId,
    [...driven].map(({ id }) => id),
  );
  const firstUs = new Map([...starts].map(([meetingId, ofHeats]) => [meetingId, Math.min(...ofHeats.values())]));
  const seen = await selectSeenNights(tx, clubId, [...driven], fit, drivers);
  const pasts = new Map([...drivers].map((driver) => [driver, pastOf(fit, driver, attended.get(driver) ?? [], seen)]));
  const past = (driver: string) => pasts.get(driver) ?? pastOf(fit, driver, []);

  const columns = new LapColumnsBuilder();
  const noted = found.flatMap(({ text, carClass, carId, lane, meetingId, ...row }) => {
    const night = nightOf.get(meetingId);
    if (!night) return [];
    const startUs = starts.get(meetingId)?.get(row.heat);
    const startS = startUs === undefined ? 0 : (startUs - (firstUs.get(meetingId) ?? startUs)) / 1e6;
    const place = { night: night.night, track: night.trackId, carClass };
    if (text !== null) takeHeat({ ...place, startS, lane, driver: row.driver, heat: row.heat }, text, columns);
    return [{ ...row, night: night.night, startS, within: JSON.stringify([carClass, night.trackId, carId]) }];
  });
  noted.sort((a, b) => a.night - b.night || a.startS - b.startS);
  const heats = setupHeats(noted, lapsOf(columns.columns()), fit, past);
  return new KnownHeats(versions, heats, past, fit);
}

async function selectHashedVersions(
  tx: ClubTx,
  clubId: string,
  profileIds: readonly string[],
): Promise<HashedVersion[]> {
  const { profileId, version, hash } = profileVersion;
  return tx
    .select({ profileId, version, hash, driver: profile.driverId })
    .from(profileVersion)
    .innerJoin(profile, and(eq(profile.clubId, profileVersion.clubId), eq(profile.id, profileId)))
    .where(and(eq(profileVersion.clubId, clubId), inArray(profileId, [...profileIds])));
}

/**
 * Confirmed heats that noted a version, of its own driver, in no order. Left out are those under a race limit below what the
 * version gives: its car never had that.
 */
async function selectNotedHeats(tx: ClubTx, clubId: string, profileIds: readonly string[]) {
  const noted = await tx
    .select({
      meetingId: heatLane.meetingId,
      heat: heatLane.heatId,
      lane: heatLane.lane,
      entryId: heatLane.entryId,
      profileId: sql<string>`${heatLane.profileId}`,
      version: sql<number>`${heatLane.profileVersion}`,
      hash: profileVersion.hash,
      driver: profile.driverId,
      carId: entry.carId,
      carClass: race.classId,
    })
    .from(heatLane)
    .innerJoin(profile, and(eq(profile.clubId, heatLane.clubId), eq(profile.id, heatLane.profileId)))
    .innerJoin(
      profileVersion,
      and(
        eq(profileVersion.clubId, heatLane.clubId),
        eq(profileVersion.profileId, heatLane.profileId),
        eq(profileVersion.version, heatLane.profileVersion),
      ),
    )
    .innerJoin(
      entry,
      and(
        eq(entry.clubId, heatLane.clubId),
        eq(entry.meetingId, heatLane.meetingId),
        eq(entry.id, heatLane.entryId),
        eq(entry.driverId, profile.driverId),
      ),
    )
    .innerJoin(
      heat,
      and(
        eq(heat.clubId, heatLane.clubId),
        eq(heat.meetingId, heatLane.meetingId),
        eq(heat.id, heatLane.heatId),
        isNull(heat.removedAt),
      ),
    )
    .innerJoin(race, and(eq(race.clubId, heat.clubId), eq(race.meetingId, heat.meetingId), eq(race.id, heat.raceId)))
    .where(
      and(
        eq(heatLane.clubId, clubId),
        inArray(heatLane.profileId, [...profileIds]),
        sql`coalesce(${race.driveLimit}, 1000) >= (${profileVersion.setup}->>'maxDrive')::integer`,
      ),
    );
  const laps = await selectLapTexts(tx, clubId, noted);
  // There are laps of confirmed heats only, and none of void ones.
  return noted.flatMap(({ entryId, ...row }) => {
    const found = laps.get(seatKey({ meetingId: row.meetingId, heat: row.heat, lane: row.lane, entryId }));
    return found ? [{ ...row, ...found }] : [];
  });
}

interface Seat {
  readonly meetingId: string;
  readonly heat: string;
  readonly lane: number;
  readonly entryId: string;
}

const seatKey = ({ meetingId, heat, lane, entryId }: Seat) => JSON.stringify([meetingId, heat, lane, entryId]);

/** Laps of the drivers of these heats, by heat and lane. */
async function selectLapTexts(
  tx: ClubTx,
  clubId: string,
  noted: readonly (Seat & { readonly driver: string })[],
): Promise<ReadonlyMap<string, { readonly laps: number; readonly text: string | null }>> {
  if (noted.length === 0) return new Map();
  const { meetingId, heatId, lane, entryId, driverId } = lap;
  const rows = await tx
    .select({
      ...{ meetingId, heat: heatId, lane, entryId },
      laps: sql`count(*)`.mapWith(Number),
      text: sql<string | null>`${lapsAsText} filter (where ${tellsPace})`,
    })
    .from(lap)
    .where(
      and(
        eq(lap.clubId, clubId),
        inArray(driverId, [...new Set(noted.map(({ driver }) => driver))]),
        inArray(meetingId, [...new Set(noted.map((row) => row.meetingId))]),
      ),
    )
    .groupBy(meetingId, heatId, lane, entryId);
  return new Map(rows.map(({ laps, text, ...seat }) => [seatKey(seat), { laps, text }]));
}

/** How the track changed over nights that the fit does not know, as the other drivers saw it. */
async function selectSeenNights(
  tx: ClubTx,
  clubId: string,
  nights: readonly RaceNight[],
  fit: PaceFit | null,
  except: ReadonlySet<string>,
): Promise<SeenNight> {
  const known = new Set(fit?.past?.nights.map(({ night }) => night));
  const seen = new Map<number, ReturnType<SeenNight>>();
  const unknown = nights.filter(({ night }) => !known.has(night)).sort((a, b) => b.night - a.night);
  const meetingIds = unknown.slice(0, mostSeenNights).map(({ id }) => id);
  const laps = meetingIds.length === 0 ? [] : await selectLapRows(tx, clubId, { meetingIds });
  for (const [night, ofNight] of groupBy(laps, (row) => row.night)) seen.set(night, seenBy(ofNight, fit, except));
  return (night) => seen.get(night) ?? null;
}
