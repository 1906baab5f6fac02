import { and, eq, max, sql } from 'drizzle-orm';
import type { ClubTx } from '../../db/client.ts';
import { lane, profile, profileVersion } from '../../db/schema/index.ts';
import { type NamedCar, selectCars } from '../drivers/cars-store.ts';
import { selectOptionalLatestFit } from '../pace/pace-store.ts';
import { selectTracks, type Track } from '../tracks/store.ts';
import { type StoredChoice, selectChoices } from './choices-store.ts';
import type { VersionEffect } from './effect/version-effect.ts';
import { selectEffects } from './effect-store.ts';
import { type RaceLimit, selectOptionalRaceLimit } from './limits-store.ts';
import { type KeptProfile, type ProfileVersion, selectVersions } from './store.ts';

/** What stands on the page of a profile beside it. */
export type ProfilePageData = {
  /** The latest first. */
  versions: ProfileVersion[];
  /** What is dialled in of this profile. */
  choices: StoredChoice[];
  /** Whether each version helped. */
  effects: VersionEffect[];
  /** Numbers of the lanes that a choice may name. */
  lanes: number[];
  limit: RaceLimit | null;
  /** Whether the club's pace was ever worked out: without it effects rest on less, and take longer. */
  fitted: boolean;
};

/** @param today in the club's zone, `YYYY-MM-DD` */
export async function selectProfilePage(
  tx: ClubTx,
  clubId: string,
  { id, driverId, carId, trackId }: KeptProfile,
  today: string,
): Promise<ProfilePageData> {
  const fit = (await selectOptionalLatestFit(tx, clubId))?.fit ?? null;
  return {
    versions: await selectVersions(tx, clubId, id),
    choices: await selectChoices(tx, clubId, driverId, id),
    effects: await selectEffects(tx, clubId, id, fit),
    lanes: await selectLaneNumbers(tx, clubId, trackId),
    limit: await selectOptionalRaceLimit(tx, clubId, { driverId, carId }, today),
    fitted: fit !== null,
  };
}

/** The numbers of a track's lanes; for any track (null) as many as the one with the most has. */
async function selectLaneNumbers(tx: ClubTx, clubId: string, trackId: string | null): Promise<number[]> {
  const [row] = await tx
    .select({ most: max(lane.number) })
    .from(lane)
    .where(and(eq(lane.clubId, clubId), trackId === null ? undefined : eq(lane.trackId, trackId)));
  return Array.from({ length: row?.most ?? 0 }, (_, i) => i + 1);
}

/** The cars and tracks that a driver may name: their own cars and the club's, and every track. */
export async function selectPlaces(
  tx: ClubTx,
  clubId: string,
  driverId: string,
): Promise<{ cars: NamedCar[]; tracks: Track[] }> {
  const cars = await selectCars(tx, clubId);
  return {
    cars: cars.filter((car) => car.driverId === driverId || car.driverId === null),
    tracks: await selectTracks(tx, clubId),
  };
}

/** A version among all of a driver's. */
export type NamedVersion = { profileId: string; version: number; name: string; latest: number };

/** The names of all versions of a driver's profiles, the latest of each first; archived profiles too. */
export async function selectVersionNames(tx: ClubTx, clubId: string, driverId: string): Promise<NamedVersion[]> {
  const rows = await tx
    .select({
      profileId: profile.id,
      version: profileVersion.version,
      name: sql<string>`${profileVersion.setup} ->> 'name'`,
      latest: profile.latest,
    })
    .from(profile)
    .innerJoin(profileVersion, and(eq(profileVersion.clubId, profile.clubId), eq(profileVersion.profileId, profile.id)))
    .where(and(eq(profile.clubId, clubId), eq(profile.driverId, driverId)));
  return rows.sort(
    (a, b) => a.name.localeCompare(b.name, 'en') || a.profileId.localeCompare(b.profileId) || b.version - a.version,
  );
}
