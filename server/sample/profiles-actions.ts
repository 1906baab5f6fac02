import type { ClubTx } from '../../db/client.ts';
import type { ProfileOrigin } from '../../db/schema/profiles.ts';
import { sample as words } from '../../views/texts/en/sample.ts';
import { newId } from '../accounts/tokens.ts';
import { putChoice } from '../profiles/actions.ts';
import { setupHash } from '../profiles/exchange/setup-hash.ts';
import type { Profile } from '../profiles/model/profile.ts';
import { presets } from '../profiles/motor/motor.ts';
import { upsertCarMotor } from '../profiles/motor-store.ts';
import { insertProfile, insertVersion, updateLatest } from '../profiles/store.ts';
import { insertShare } from '../shares/store.ts';
import { daysBefore } from './calendar.ts';
import type { DriverKey } from './club.ts';
import { season } from './season.ts';
import { type SetupDriver, setupDrivers, setupOf, setups } from './setups.ts';

/** What of the club the profiles belong to. */
export interface SampleIds {
  readonly driver: (key: DriverKey) => string;
  /** A driver's own car by its name. */
  readonly car: (name: string) => string;
  readonly cellar: string;
  /** `YYYY-MM-DD` in the club's zone. */
  readonly today: string;
}

/** Ids of the profiles, by driver. */
export type ProfileIds = ReadonlyMap<SetupDriver, string>;

/** Versions of the library and of the borrowed profile, from 1. */
const [walnutsGood, cometsGood] = [2, 3] as const;

/**
 * Stores the profiles of the sample's drivers with all versions. Nothing is dialled in yet: what heats of the past noted
 * comes with them.
 */
export async function putProfiles(tx: ClubTx, clubId: string, ids: SampleIds): Promise<ProfileIds> {
  const made = new Map<SetupDriver, string>();
  for (const driver of setupDrivers) {
    const { carClass, versions } = setups[driver];
    const id = newId();
    made.set(driver, id);
    const carId = ids.car((words.cars[driver] as { [carClass: string]: string })[carClass] ?? '');
    await insertProfile(tx, { clubId, id, driverId: ids.driver(driver), carId, trackId: ids.cellar });
    for (const [v, { after, backTo }] of versions.entries()) {
      const setup = setupOf(words, driver, v + 1);
      const back: ProfileOrigin | null =
        backTo === null ? null : { via: 'version', version: backTo, hash: setupHash(setup) };
      await insertVersion(tx, {
        ...{ clubId, profileId: id, version: v + 1, hash: setupHash(setup), note: words.setups[driver].notes[v] ?? '' },
        ...{ setup: storable(setup), author: words.drivers[driver], origin: back },
        createdAt: new Date(`${savedOn(ids.today, after)}T20:00:00Z`),
      });
    }
    await updateLatest(tx, clubId, id, versions.length);
  }
  await upsertCarMotor(tx, clubId, ids.car(words.cars.walnut.touring), measuredMotor);
  return made;
}

/** A motor as somebody measured it: near the usual one of a club. */
const measuredMotor = { ...presets.club, rOhm: 0.57, lMh: 0.11, mKg: 0.108, gear: 3.5, wiringOhm: 0.12 };

/** The day after the evening that made somebody change something. */
function savedOn(today: string, after: (typeof season)[number]['name'] | null): string {
  const weeksAgo = season.find(({ name }) => name === after)?.weeksAgo;
  return daysBefore(today, weeksAgo === undefined ? 7 * 17 : 7 * weeksAgo - 1);
}

const storable = (setup: Profile) => setup as Parameters<typeof insertVersion>[1]['setup'];

/** What is handed on, and what is dialled in for tonight. */
export async function shareAndDial(tx: ClubTx, clubId: string, ids: SampleIds, profiles: ProfileIds): Promise<void> {
  const { walnut, comet, domino } = Object.fromEntries(profiles) as Record<SetupDriver, string>;
  const entry = async (driver: SetupDriver, version: number, author: string | null) => {
    const setup = setupOf(words, driver, version);
    const carName = (words.cars[driver] as { [carClass: string]: string })[setups[driver].carClass] ?? null;
    const profileId = profiles.get(driver) ?? '';
    const copy = { setup: storable(setup), hash: setupHash(setup), author, carName, className: words.classes.touring };
    const sharedOn = daysBefore(ids.today, 7 * 5);
    await insertShare(tx, { clubId, id: newId(), code: null, profileId, version, ...copy, sharedOn });
  };
  await entry('walnut', walnutsGood, words.drivers.walnut);
  // Without a name: that too may stand in a library.
  await entry('comet', cometsGood, null);
  await putBorrowed(tx, clubId, ids);

  const dial = [
    [walnut, walnutsGood, null],
    // The slowest lane has a version of its own.
    [walnut, 3, 1],
    [comet, cometsGood, null],
    [domino, 2, null],
  ] as const;
  for (const [profileId, version, lane] of dial) await putChoice(tx, clubId, profileId, { version, lane });
}

/** Bramble took Walnut's setup out of the library and changed it. */
async function putBorrowed(tx: ClubTx, clubId: string, ids: SampleIds): Promise<void> {
  const id = newId();
  const taken = setupOf(words, 'walnut', walnutsGood);
  const { name, note } = words.borrowed;
  const origin: ProfileOrigin = {
    via: 'library',
    from: words.drivers.walnut,
    version: walnutsGood,
    hash: setupHash(taken),
  };
  const carId = ids.car(words.cars.bramble.touring);
  await insertProfile(tx, { clubId, id, driverId: ids.driver('bramble'), carId, trackId: null });
  const own = { clubId, profileId: id, author: words.drivers.bramble };
  const changed = { ...taken, name, minDrive: 130 };
  const versions = [
    { setup: { ...taken, name }, note: '', origin, week: 5 },
    { setup: changed, note, origin: null, week: 3 },
  ];
  for (const [v, { setup, week, ...rest }] of versions.entries()) {
    const createdAt = new Date(`${daysBefore(ids.today, 7 * week - 1)}T20:00:00Z`);
    const hash = setupHash(setup);
    await insertVersion(tx, { ...own, ...rest, version: v + 1, setup: storable(setup), hash, createdAt });
  }
  await updateLatest(tx, clubId, id, versions.length);
}
