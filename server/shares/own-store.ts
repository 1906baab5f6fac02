import type { ClubTx } from '../../db/client.ts';
import type { NamedCar } from '../drivers/cars-store.ts';
import { selectChosen } from '../profiles/in-use-store.ts';
import { type RaceLimit, selectOptionalRaceLimit } from '../profiles/limits-store.ts';
import type { Profile } from '../profiles/model/profile.ts';
import { selectPlaces } from '../profiles/page-store.ts';
import { selectProfiles } from '../profiles/store.ts';
import type { Track } from '../tracks/store.ts';

/** A version of a driver's own. */
export interface OwnSetup {
  /** `<profile>.<version>`, as forms name it. */
  readonly key: string;
  readonly setup: Profile;
  readonly version: number;
  /** Null: any car. */
  readonly carName: string | null;
  readonly isDialledIn: boolean;
}

/** What a driver has now: what is dialled in first, then the latest of every profile; and where a new one may go. */
export async function selectOwnSetups(
  tx: ClubTx,
  clubId: string,
  driverId: string,
  today: string,
): Promise<{ setups: OwnSetup[]; limit: RaceLimit | null; cars: NamedCar[]; tracks: Track[] }> {
  const kept = await selectProfiles(tx, clubId, driverId);
  const carNames = new Map(kept.map(({ id, carName }) => [id, carName]));
  const dialledIn = (await selectChosen(tx, clubId, [driverId])).map((chosen) => ({
    key: `${chosen.profileId}.${chosen.version}`,
    setup: chosen.profile,
    version: chosen.version,
    carName: carNames.get(chosen.profileId) ?? null,
    isDialledIn: true,
  }));
  const latest = kept.map(({ id, latest: version, setup, carName }) => ({
    key: `${id}.${version}`,
    setup,
    version,
    carName,
    isDialledIn: false,
  }));
  const byKey = new Map([...dialledIn, ...latest].toReversed().map((one) => [one.key, one]));
  return {
    setups: [...byKey.values()].toReversed(),
    // Whatever car it will be for: the strictest limit of all.
    limit: await selectOptionalRaceLimit(tx, clubId, { driverId, carId: null }, today),
    ...(await selectPlaces(tx, clubId, driverId)),
  };
}

/**
 * What a received profile is compared with.
 *
 * @param asked the key of one of them, `none`, or undefined for the usual one
 * @param carName for which car the received one was made, if that is known
 */
export function chosenOwn(
  setups: readonly OwnSetup[],
  asked: string | undefined,
  carName: string | null,
): OwnSetup | null {
  if (asked !== undefined) return setups.find(({ key }) => key === asked) ?? null;
  const sameCar = setups.find((one) => one.isDialledIn && one.carName === carName && carName !== null);
  return sameCar ?? setups[0] ?? null;
}
