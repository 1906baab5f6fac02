import type { ClubTx, Database } from '../../db/client.ts';
import { sample as words } from '../../views/texts/en/sample.ts';
import { newId, newJoinCode } from '../accounts/tokens.ts';
import { storeMeeting } from '../archive/actions.ts';
import { type Admission, makeFirstClub } from '../clubs/actions.ts';
import { insertCar, insertClass } from '../drivers/cars-store.ts';
import { insertDrivers } from '../drivers/store.ts';
import { updateMeeting, updateRace } from '../meetings/store.ts';
import { nameKey } from '../shared/names.ts';
import { insertSensor } from '../timing/device-store.ts';
import { insertTrack } from '../tracks/store.ts';
import { dayIn } from './calendar.ts';
import { type ClassKey, type DriverKey, driverKeys, profiles, type TrackName, tracks } from './club.ts';
import { type SampleMeeting, sampleMeetings, seasonDrawn } from './meetings.ts';
import { type ProfileIds, putProfiles, type SampleIds, shareAndDial } from './profiles-actions.ts';
import { drivenVersions } from './setups.ts';
import { updateNotedVersions, updateStandingDates } from './store.ts';
import { putUnits } from './units-actions.ts';

export type OpenedSample = { slug: string; secret: string; drivers: number; tracks: number; meetings: number };

/**
 * Fills an empty database with the sample club: its past season, and a meeting of today that is ready to run. Whole or
 * not at all.
 *
 * @param zone IANA name, of the club's times of day; null: that of this machine
 * @param nowUs now, on the server's scale
 * @returns the club's address and, where a code let it in, its director's cookie; or why nothing was made
 */
export async function openSampleClub(
  db: Database,
  admission: Admission,
  { zone: wanted, nowUs }: { zone: string | null; nowUs: number },
): Promise<OpenedSample | { refused: 'code' | 'done' }> {
  const zone = wanted ?? Intl.DateTimeFormat().resolvedOptions().timeZone;
  const today = dayIn(zone, nowUs);
  const { past, tonight } = sampleMeetings(words, { today, zone, seed: seasonDrawn });
  const club = { name: words.club, zone, sample: true };
  const made = await makeFirstClub(db, admission, club, async (tx, clubId) => {
    const trackIds = await putTracks(tx, clubId);
    // Lists stand in the order of making; all of one transaction are made at one instant.
    const madeUs = past[0]?.facts.journal[0]?.fact.atUs ?? nowUs;
    const { driverIds, carIds } = await putPeopleAndCars(tx, clubId, madeUs);
    const ids: SampleIds = {
      driver: (key) => driverIds.get(key) as string,
      car: (name) => carIds.get(name) as string,
      cellar: trackIds.get('cellar') as string,
      today,
    };
    const profileIds = await putProfiles(tx, clubId, ids);
    for (const meeting of past) {
      const meetingId = await putMeeting(tx, clubId, trackIds, meeting);
      const lastUs = meeting.facts.journal.at(-1)?.fact.atUs ?? nowUs;
      await updateStandingDates(tx, clubId, meetingId, new Date(Math.floor(lastUs / 1000)));
      await updateMeeting(tx, clubId, meetingId, { published: meeting.plan.published });
      await updateNotedVersions(tx, clubId, meetingId, notedIn(meeting, profileIds));
    }
    const meetingId = await putMeeting(tx, clubId, trackIds, tonight);
    await updateMeeting(tx, clubId, meetingId, { joinCode: newJoinCode() });
    await shareAndDial(tx, clubId, ids, profileIds);
    await putUnits(tx, clubId, ids);
  });
  if ('refused' in made) return made;
  return { ...made, drivers: driverKeys.length, tracks: Object.keys(tracks).length, meetings: past.length + 1 };
}

type TrackIds = ReadonlyMap<TrackName, string>;

/** Tracks with their lanes and a sensor each, which waits for its token. */
async function putTracks(tx: ClubTx, clubId: string): Promise<TrackIds> {
  const ids = new Map<TrackName, string>();
  for (const key of Object.keys(tracks) as TrackName[]) {
    const { start: startMode, holdRollUs, endRollUs, lanes, sensor } = tracks[key];
    const trackId = newId();
    ids.set(key, trackId);
    await insertTrack(
      tx,
      { clubId, id: trackId, name: words.tracks[key], startMode, holdRollUs, endRollUs },
      lanes.map(({ pace: _, ...lane }, i) => ({ ...lane, number: i + 1 })),
    );
    const { id, bits } = sensor;
    await insertSensor(tx, { clubId, trackId, id }, { name: words.sensors[key], bits, tokenHash: null });
  }
  return ids;
}

const notedIn = ({ plan, facts }: SampleMeeting, profileIds: ProfileIds) =>
  drivenVersions(plan, facts).map(({ driver, ...noted }) => ({
    ...noted,
    profileId: profileIds.get(driver) as string,
  }));

type PeopleAndCars = { driverIds: ReadonlyMap<DriverKey, string>; carIds: ReadonlyMap<string, string> };

/** Ids of cars come by the cars' names. */
async function putPeopleAndCars(tx: ClubTx, clubId: string, madeUs: number): Promise<PeopleAndCars> {
  const createdAt = (place: number) => new Date(Math.floor(madeUs / 1000) + place * 1000);
  const driverIds = new Map<DriverKey, string>(driverKeys.map((key) => [key, newId()]));
  await insertDrivers(
    tx,
    driverKeys.map((key, i) => {
      const nickname = words.drivers[key];
      const id = driverIds.get(key) as string;
      return {
        clubId,
        id,
        nickname,
        nicknameKey: nameKey(nickname),
        public: profiles[key].public,
        createdAt: createdAt(i),
      };
    }),
  );
  const classIds = new Map<ClassKey, string>();
  for (const [i, key] of (Object.keys(words.classes) as ClassKey[]).entries()) {
    const id = newId();
    classIds.set(key, id);
    await insertClass(tx, { clubId, id, name: words.classes[key], createdAt: createdAt(i) });
  }
  const cars = [
    ...words.houseCars.map((name) => ({ name, carClass: 'house', driverId: null })),
    ...driverKeys.flatMap((key) =>
      Object.entries(words.cars[key]).map(([carClass, name]) => ({
        name,
        carClass,
        driverId: driverIds.get(key) ?? null,
      })),
    ),
  ];
  const carIds = new Map<string, string>();
  for (const [i, { name, carClass, driverId }] of cars.entries()) {
    const classId = classIds.get(carClass as ClassKey) ?? null;
    const id = newId();
    carIds.set(name, id);
    await insertCar(tx, { clubId, id, name, classId, driverId, createdAt: createdAt(i) });
  }
  return { driverIds, carIds };
}

async function putMeeting(
  tx: ClubTx,
  clubId: string,
  trackIds: TrackIds,
  { plan, facts }: SampleMeeting,
): Promise<string> {
  const meetingId = newId();
  await storeMeeting(tx, { clubId, trackId: trackIds.get(plan.track) as string, meetingId }, facts);
  for (const [i, race] of facts.races.entries()) {
    const marshals = plan.races[i]?.marshals ?? 0;
    await updateRace(tx, { clubId, meetingId, id: race.id }, { marshals });
  }
  return meetingId;
}
