import { and, desc, eq, inArray, isNull } from 'drizzle-orm';
import type { ClubTx } from '../../db/client.ts';
import { car, profile, profileChoice, profileVersion } from '../../db/schema/index.ts';
import { type Choice, choiceInUse, type Place } from './in-use.ts';
import type { Profile } from './model/profile.ts';

/** A choice with its driver and the settings of the chosen version. */
export type ChosenVersion = Choice & { driverId: string; profile: Profile; hash: string };

/** What is in use at a place: the settings as saved, without any race limit. */
export type InUse = { profileId: string; version: number; profile: Profile; hash: string };

/** Everything that these drivers have dialled in, the latest choice first; archived profiles are out. */
export async function selectChosen(tx: ClubTx, clubId: string, driverIds: readonly string[]): Promise<ChosenVersion[]> {
  if (driverIds.length === 0) return [];
  return tx
    .select({
      driverId: profileChoice.driverId,
      profileId: profileChoice.profileId,
      version: profileChoice.version,
      lane: profileChoice.lane,
      chosenAt: profileChoice.chosenAt,
      trackId: profile.trackId,
      carId: profile.carId,
      carClassId: car.classId,
      profile: profileVersion.setup,
      hash: profileVersion.hash,
    })
    .from(profileChoice)
    .innerJoin(profile, and(eq(profile.clubId, profileChoice.clubId), eq(profile.id, profileChoice.profileId)))
    .innerJoin(
      profileVersion,
      and(
        eq(profileVersion.clubId, profileChoice.clubId),
        eq(profileVersion.profileId, profileChoice.profileId),
        eq(profileVersion.version, profileChoice.version),
      ),
    )
    .leftJoin(car, and(eq(car.clubId, profile.clubId), eq(car.id, profile.carId)))
    .where(
      and(
        eq(profileChoice.clubId, clubId),
        inArray(profileChoice.driverId, [...driverIds]),
        isNull(profile.archivedAt),
      ),
    )
    .orderBy(desc(profileChoice.chosenAt));
}

/** What a driver has in use at a place; null where nothing is dialled in for it. */
export async function selectOptionalInUse(
  tx: ClubTx,
  clubId: string,
  { driverId, ...place }: Place & { driverId: string },
): Promise<InUse | null> {
  const chosen = choiceInUse(await selectChosen(tx, clubId, [driverId]), place);
  return chosen && { profileId: chosen.profileId, version: chosen.version, profile: chosen.profile, hash: chosen.hash };
}
