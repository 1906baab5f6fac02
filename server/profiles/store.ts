import { and, asc, count, desc, eq, isNull, sql } from 'drizzle-orm';
import type { ClubTx } from '../../db/client.ts';
import { car, carClass, driver, profile, profileVersion, track } from '../../db/schema/index.ts';
import type { ProfileOrigin } from '../../db/schema/profiles.ts';
import type { Profile } from './model/profile.ts';

/** A profile with its latest version and the names of what it is for. */
export type KeptProfile = {
  id: string;
  driverId: string;
  driverNickname: string;
  /** Null: any car. */
  carId: string | null;
  carName: string | null;
  className: string | null;
  /** Null: any track. */
  trackId: string | null;
  trackName: string | null;
  /** Number of the latest version, from 1. */
  latest: number;
  /** The latest version's settings. */
  setup: Profile;
  hash: string;
  savedAt: Date;
  archivedAt: Date | null;
};

export type ProfileVersion = {
  version: number;
  setup: Profile;
  hash: string;
  note: string;
  author: string;
  origin: ProfileOrigin | null;
  createdAt: Date;
};

const keptColumns = {
  id: profile.id,
  driverId: profile.driverId,
  driverNickname: driver.nickname,
  carId: profile.carId,
  carName: car.name,
  className: carClass.name,
  trackId: profile.trackId,
  trackName: track.name,
  latest: profile.latest,
  setup: profileVersion.setup,
  hash: profileVersion.hash,
  savedAt: profileVersion.createdAt,
  archivedAt: profile.archivedAt,
};

const kept = (tx: ClubTx) =>
  tx
    .select(keptColumns)
    .from(profile)
    .innerJoin(driver, and(eq(driver.clubId, profile.clubId), eq(driver.id, profile.driverId)))
    .innerJoin(
      profileVersion,
      and(
        eq(profileVersion.clubId, profile.clubId),
        eq(profileVersion.profileId, profile.id),
        eq(profileVersion.version, profile.latest),
      ),
    )
    .leftJoin(car, and(eq(car.clubId, profile.clubId), eq(car.id, profile.carId)))
    .leftJoin(carClass, and(eq(carClass.clubId, car.clubId), eq(carClass.id, car.classId)))
    .leftJoin(track, and(eq(track.clubId, profile.clubId), eq(track.id, profile.trackId)));

/** A driver's profiles, the one saved last first; archived ones only on demand. */
export async function selectProfiles(
  tx: ClubTx,
  clubId: string,
  driverId: string,
  with_: { archived: boolean } = { archived: false },
): Promise<KeptProfile[]> {
  return kept(tx)
    .where(
      and(
        eq(profile.clubId, clubId),
        eq(profile.driverId, driverId),
        with_.archived ? undefined : isNull(profile.archivedAt),
      ),
    )
    .orderBy(desc(profileVersion.createdAt), asc(profile.id));
}

export async function selectOptionalProfile(tx: ClubTx, clubId: string, id: string): Promise<KeptProfile | null> {
  const [row] = await kept(tx).where(and(eq(profile.clubId, clubId), eq(profile.id, id)));
  return row ?? null;
}

/** How many profiles a driver has, archived ones too. */
export async function countProfiles(tx: ClubTx, clubId: string, driverId: string): Promise<number> {
  const [row] = await tx
    .select({ n: count() })
    .from(profile)
    .where(and(eq(profile.clubId, clubId), eq(profile.driverId, driverId)));
  return row?.n ?? 0;
}

const versionColumns = {
  version: profileVersion.version,
  setup: profileVersion.setup,
  hash: profileVersion.hash,
  note: profileVersion.note,
  author: profileVersion.author,
  origin: profileVersion.origin,
  createdAt: profileVersion.createdAt,
};

/** Every version of a profile, the latest first. */
export async function selectVersions(tx: ClubTx, clubId: string, profileId: string): Promise<ProfileVersion[]> {
  return tx
    .select(versionColumns)
    .from(profileVersion)
    .where(and(eq(profileVersion.clubId, clubId), eq(profileVersion.profileId, profileId)))
    .orderBy(desc(profileVersion.version));
}

export async function selectOptionalVersion(
  tx: ClubTx,
  clubId: string,
  profileId: string,
  version: number,
): Promise<ProfileVersion | null> {
  const [row] = await tx
    .select(versionColumns)
    .from(profileVersion)
    .where(
      and(
        eq(profileVersion.clubId, clubId),
        eq(profileVersion.profileId, profileId),
        eq(profileVersion.version, version),
      ),
    );
  return row ?? null;
}

/** Holds back everybody else who adds a profile or a choice for this driver, until this transaction ends. */
export async function lockDriver(tx: ClubTx, clubId: string, driverId: string): Promise<boolean> {
  const rows = await tx
    .select({ id: driver.id })
    .from(driver)
    .where(and(eq(driver.clubId, clubId), eq(driver.id, driverId)))
    .for('no key update');
  return rows.length > 0;
}

/** The profile's row with its lock: no version is added until this transaction ends. */
export async function selectOptionalProfileForUpdate(
  tx: ClubTx,
  clubId: string,
  id: string,
): Promise<typeof profile.$inferSelect | null> {
  const [row] = await tx
    .select()
    .from(profile)
    .where(and(eq(profile.clubId, clubId), eq(profile.id, id)))
    .for('no key update');
  return row ?? null;
}

export async function insertProfile(tx: ClubTx, row: typeof profile.$inferInsert): Promise<void> {
  await tx.insert(profile).values(row);
}

export async function insertVersion(tx: ClubTx, row: typeof profileVersion.$inferInsert): Promise<void> {
  await tx.insert(profileVersion).values(row);
}

export async function updateLatest(tx: ClubTx, clubId: string, id: string, latest: number): Promise<void> {
  await tx
    .update(profile)
    .set({ latest })
    .where(and(eq(profile.clubId, clubId), eq(profile.id, id)));
}

export async function updateProfileArchived(tx: ClubTx, clubId: string, id: string, archived: boolean): Promise<void> {
  await tx
    .update(profile)
    .set({ archivedAt: archived ? sql`now()` : null })
    .where(and(eq(profile.clubId, clubId), eq(profile.id, id)));
}
