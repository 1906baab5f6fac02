import { afterAll, beforeAll, beforeEach, describe, expect, test } from 'vitest';
import { insertCar } from '../../server/drivers/cars-store.ts';
import { selectDrivers } from '../../server/drivers/store.ts';
import { insertRace, selectEntries, updateMeeting } from '../../server/meetings/store.ts';
import { signedIn, startTestApp, type TestApp, Visitor } from '../helpers/app.ts';
import { hostileNames } from '../helpers/own-pages.ts';
import { type PlantedNight, plantNight } from '../helpers/planted-night.ts';

let t: TestApp;
let night: PlantedNight;
let clubs = 0;
let code = '';
const minute = 60_000_000;
beforeAll(async () => {
  t = await startTestApp();
});
afterAll(() => t.close());
beforeEach(async () => {
  clubs += 1;
  night = await plantNight(t.db, {
    slug: `club${clubs}`,
    lanes: 2,
    drivers: ['Ada', 'Bo'],
    heats: [{ lanes: [1, 2] }],
  });
  // A code of its own: tests of one file share the limits of one address.
  code = `ABCDE${'23456789ABCDEFGHJKMNPQRSTUVWXYZ'[clubs] ?? 'Z'}`;
  await t.db.withClub(night.clubId, (tx) => updateMeeting(tx, night.clubId, night.meetingId, { joinCode: code }));
  // Wrong codes and new drivers of earlier tests are forgotten.
  t.clock.advance(90 * minute);
});

const entries = () => t.db.readClub(night.clubId, (tx) => selectEntries(tx, night.clubId, night.meetingId));
const drivers = () => t.db.readClub(night.clubId, (tx) => selectDrivers(tx, night.clubId));
const join = () => `/c/${night.slug}/join`;

/** A phone that has opened the page behind the code. */
async function phone(): Promise<Visitor> {
  const visitor = new Visitor(t.app);
  expect((await visitor.get(`${join()}?code=${code}`)).statusCode).toBe(200);
  return visitor;
}

test('the scanned address leads to the form, in whichever club', async () => {
  const visitor = new Visitor(t.app);
  const scanned = await visitor.get(`/j/${code}`);
  expect(scanned.headers.location).toBe(`${join()}?code=${code}`);
  expect((await visitor.get(`/j/${code.toLowerCase()}`)).statusCode).toBe(302);
  const page = await visitor.get(String(scanned.headers.location));
  expect(page.body).toContain('Join November night');
  expect(page.body).toContain('Ada');
  expect((await visitor.get(`/j/WRONG7`)).statusCode).toBe(404);
  expect((await visitor.get(join())).body).toContain('Type the code');
});

test('a code may be typed in small letters, with spaces and hyphens', async () => {
  const visitor = new Visitor(t.app);
  const typed = encodeURIComponent(` ${code.slice(0, 3).toLowerCase()}-${code.slice(3)} `);
  expect((await visitor.get(`${join()}?code=${typed}`)).body).toContain('Who are you?');
});

test('a new driver joins and is signed in for the night', async () => {
  const visitor = await phone();
  const joined = await visitor.post(join(), { code, nickname: ' Pip ', raceIds: 'r1' });
  expect(joined.statusCode).toBe(303);
  expect(joined.headers.location).toBe(`/c/${night.slug}/meetings/m1/me`);
  const cookie = joined.cookies.find((one) => one.name === 'lw_sid');
  expect(cookie).toMatchObject({ httpOnly: true, sameSite: 'Lax', maxAge: 12 * 3600 });
  expect((await entries()).at(-1)).toMatchObject({ id: 'e3', nickname: 'Pip', raceId: 'r1', ordinal: 3 });
  // The same phone is recognised, and a second one cannot be Pip.
  expect((await visitor.get(`${join()}?code=${code}`)).headers.location).toBe(`/c/${night.slug}/meetings/m1/me`);
  await visitor.get(`/c/${night.slug}`);
  expect((await visitor.post(join(), { code, nickname: 'Pop', raceIds: 'r1' })).statusCode).toBe(303);
  expect(await drivers()).toHaveLength(3);
  const other = await phone();
  const pip = (await drivers()).find((driver) => driver.nickname === 'Pip')?.id ?? '';
  expect((await other.get(`${join()}?code=${code}`)).body).not.toContain(`value="${pip}"`);
  const again = await other.post(join(), { code, driverId: pip, raceIds: 'r1' });
  expect(again.statusCode).toBe(422);
  expect(again.body).toContain('ask the director');
});

test('whom the director entered joins by nickname and is not entered twice', async () => {
  const visitor = await phone();
  expect((await visitor.post(join(), { code, driverId: 'd1' })).statusCode).toBe(303);
  expect(await entries()).toHaveLength(2);
  const other = await phone();
  expect((await other.post(join(), { code, driverId: 'd2', raceIds: 'r1' })).statusCode).toBe(303);
  expect(await entries()).toHaveLength(2);
});

test('a car of the club, or the own one, is chosen for each race', async () => {
  const { clubId } = night;
  await t.db.withClub(clubId, async (tx) => {
    await insertCar(tx, { clubId, id: 'bos', name: 'Red one', classId: 'c1', driverId: 'd2' });
  });
  const visitor = await phone();
  const wrong = await visitor.post(join(), { code, nickname: 'Pip', raceIds: 'r1', 'car-r1': 'bos' });
  expect(wrong.statusCode).toBe(422);
  expect(wrong.body).toContain('This car belongs to another driver');
  expect(await drivers()).toHaveLength(2);
  await visitor.post(join(), { code, nickname: 'Pip', raceIds: 'r1', 'car-r1': 'car1' });
  expect((await entries()).at(-1)).toMatchObject({ nickname: 'Pip', carName: 'Blue coupé' });
});

test('two races, one or both', async () => {
  const { clubId, meetingId } = night;
  const race = { clubId, meetingId, classId: 'c1', format: 'laps', laps: 9, missing: 'zero', standingFastest: false };
  await t.db.withClub(clubId, (tx) => insertRace(tx, { ...race, id: 'r2', ordinal: 2, name: 'Distance' }));
  const both = await phone();
  await both.post(join(), { code, nickname: 'Pip', raceIds: ['r1', 'r2'] });
  const one = await phone();
  await one.post(join(), { code, nickname: 'Moss', raceIds: ['r2', 'r9'] });
  const made = (await entries()).filter((entry) => !['Ada', 'Bo'].includes(entry.nickname));
  expect(made.map((entry) => [entry.nickname, entry.raceId])).toEqual([
    ['Pip', 'r1'],
    ['Pip', 'r2'],
    ['Moss', 'r2'],
  ]);
});

test('wrong input comes back and changes nothing', async () => {
  const visitor = await phone();
  for (const [fields, sentence] of [
    [{ raceIds: 'r1' }, 'Choose your nickname, or type a new one.'],
    [{ nickname: 'Pip' }, 'Choose at least one race.'],
    [{ nickname: 'Pip', raceIds: 'r9' }, 'Choose at least one race.'],
    [{ nickname: 'ADA', raceIds: 'r1' }, 'Somebody in the club has this nickname'],
    [{ driverId: 'nobody', raceIds: 'r1' }, 'Choose your nickname'],
    ...hostileNames.refused
      .filter((name) => name.trim() !== '')
      .map((nickname) => [{ nickname, raceIds: 'r1' }, 'Nothing was changed'] as const),
  ] as const) {
    const answer = await visitor.post(join(), { code, ...fields });
    expect(answer.statusCode, JSON.stringify(fields)).toBe(422);
    expect(answer.body).toContain(sentence);
    expect(answer.cookies.some((cookie) => cookie.name === 'lw_sid')).toBe(false);
  }
  expect(await entries()).toHaveLength(2);
  expect(await drivers()).toHaveLength(2);
});

describe('limits', () => {
  test('ten wrong codes from one source, then a minute of rest, also for the right code', async () => {
    const visitor = new Visitor(t.app);
    await visitor.get(join());
    for (let i = 0; i < 10; i += 1) {
      const wrong = i % 2 === 0 ? visitor.get(`${join()}?code=WRONG${i}`) : visitor.post(join(), { code: `WRONG${i}` });
      expect((await wrong).statusCode).toBe(422);
    }
    const stopped = await visitor.get(`${join()}?code=${code}`);
    expect(stopped.statusCode).toBe(429);
    expect(stopped.body).toContain('Too many wrong codes from here');
    expect((await visitor.get(`/j/${code}`)).statusCode).toBe(429);
    t.clock.advance(minute);
    expect((await visitor.get(`${join()}?code=${code}`)).statusCode).toBe(200);
  });

  test('three new drivers from one device in an hour', async () => {
    const visitor = await phone();
    const one = async (nickname: string) => {
      await visitor.get(`/c/${night.slug}`);
      expect((await visitor.post(`/c/${night.slug}/leave`)).statusCode).toBe(303);
      expect((await visitor.get(`${join()}?code=${code}`)).statusCode).toBe(200);
      return visitor.post(join(), { code, nickname, raceIds: 'r1' });
    };
    for (const nickname of ['Pip', 'Moss', 'Fern']) expect((await one(nickname)).statusCode).toBe(303);
    const fourth = await one('Reed');
    expect(fourth.statusCode).toBe(429);
    expect(fourth.body).toContain('Three new drivers');
    expect((await drivers()).map((driver) => driver.nickname)).not.toContain('Reed');
    t.clock.advance(60 * minute);
    expect((await one('Reed')).statusCode).toBe(303);
  });

  test('joining that was closed, or another code, lets nobody in', async () => {
    const visitor = await phone();
    await t.db.withClub(night.clubId, (tx) => updateMeeting(tx, night.clubId, 'm1', { joinCode: null }));
    const answer = await visitor.post(join(), { code, nickname: 'Pip', raceIds: 'r1' });
    expect(answer.statusCode).toBe(422);
    expect(await drivers()).toHaveLength(2);
  });

  test('a device that runs the night keeps its session', async () => {
    for (const role of ['director', 'timekeeper'] as const) {
      const staff = await signedIn(t, night.clubId, role);
      expect((await staff.get(`${join()}?code=${code}`)).body).toContain('This device runs the night');
      const answer = await staff.post(join(), { code, nickname: 'Pip', raceIds: 'r1' });
      expect(answer.statusCode).toBe(409);
      expect(answer.cookies).toEqual([]);
    }
    expect(await entries()).toHaveLength(2);
  });
});

describe('a driver changes', () => {
  const self = () => night.path('me/edit');
  const entry = () => night.path('me/entry');
  let bo: Visitor;
  beforeEach(async () => {
    bo = await phone();
    await bo.post(join(), { code, driverId: 'd2' });
    await bo.get(self());
  });

  test('the own nickname, which must be free', async () => {
    const taken = await bo.post(self(), { nickname: 'Àda' });
    expect(taken.statusCode).toBe(422);
    expect(taken.body).toContain('Somebody in the club has this nickname');
    expect((await bo.post(self(), { nickname: 'BO' })).statusCode).toBe(303);
    expect((await bo.post(self(), { nickname: 'Bodo' })).statusCode).toBe(303);
    expect((await drivers()).map((driver) => driver.nickname).sort()).toEqual(['Ada', 'Bodo']);
  });

  test('the own car and entry, and nobody else’s', async () => {
    expect((await bo.post(entry(), { act: 'withdraw', id: 'e2' })).statusCode).toBe(303);
    expect((await bo.get(self())).body).toContain('You are withdrawn');
    expect((await bo.post(entry(), { act: 'return', id: 'e2' })).statusCode).toBe(303);
    expect((await bo.post(entry(), { act: 'car', id: 'e2', carId: 'car1' })).statusCode).toBe(303);
    for (const act of ['withdraw', 'return', 'car']) {
      expect((await bo.post(entry(), { act, id: 'e1', carId: '' })).statusCode, act).toBe(404);
    }
    expect((await bo.post(entry(), { act: 'remove', id: 'e2' })).statusCode).toBe(400);
    expect((await entries()).map((one) => [one.id, one.withdrawnAt, one.carId])).toEqual([
      ['e1', null, null],
      ['e2', null, 'car1'],
    ]);
  });

  test('nothing of another meeting, and nothing that is the director’s', async () => {
    const stranger = await signedIn(t, night.clubId, 'driver', { driverId: 'd2', meetingId: 'other' });
    expect((await stranger.get(self())).statusCode).toBe(403);
    expect((await stranger.post(entry(), { act: 'withdraw', id: 'e2' })).statusCode).toBe(403);
    for (const url of [
      night.path('races/r1/entries'),
      night.path('entries/e2'),
      night.path('races/r1/rotation/draw'),
    ]) {
      expect((await bo.post(url, { act: 'withdraw' })).statusCode, url).toBe(403);
    }
    const visitor = new Visitor(t.app);
    await visitor.get(`/c/${night.slug}`);
    expect((await visitor.get(self())).statusCode).toBe(403);
    expect((await visitor.post(entry(), { act: 'withdraw', id: 'e2' })).statusCode).toBe(403);
    expect((await entries())[1]?.withdrawnAt).toBeNull();
  });
});

describe('had you raced before?', () => {
  const pip = async () => {
    const found = (await drivers()).find((driver) => driver.nickname === 'Pip');
    if (!found) throw new Error('Pip did not join');
    return found;
  };

  test.each([
    [{}, 0, null],
    [{ racedBefore: '', paceGroup: '' }, 0, null],
    [{ racedBefore: 'no', paceGroup: 'junior' }, 0, 'junior'],
    [{ racedBefore: 'yes', paceGroup: 'adult' }, 12, 'adult'],
  ] as const)('a new driver says %j', async (answers, nightsBefore, paceGroup) => {
    const visitor = await phone();
    expect((await visitor.post(join(), { code, nickname: 'Pip', raceIds: 'r1', ...answers })).statusCode).toBe(303);
    expect(await pip()).toMatchObject({ nightsBefore, paceGroup });
  });

  test('an answer that is none of these is refused, and nobody joins', async () => {
    const visitor = await phone();
    for (const answers of [{ racedBefore: 'often' }, { paceGroup: 'senior' }]) {
      const refused = await visitor.post(join(), { code, nickname: 'Pip', raceIds: 'r1', ...answers });
      expect(refused.statusCode).toBe(422);
      expect(refused.body).toContain('Choose one of these.');
    }
    expect(await drivers()).toHaveLength(2);
  });

  test('a driver of the club is not asked anew, and nobody else sees the group', async () => {
    const visitor = await phone();
    await visitor.post(join(), { code, nickname: 'Pip', raceIds: 'r1', racedBefore: 'no', paceGroup: 'junior' });
    const { id } = await pip();
    const ada = (await drivers()).find((driver) => driver.nickname === 'Ada')?.id ?? '';
    const other = await phone();
    await other.post(join(), { code, driverId: ada, raceIds: 'r1', racedBefore: 'yes', paceGroup: 'junior' });
    expect((await drivers()).find((driver) => driver.id === ada)).toMatchObject({ nightsBefore: 0, paceGroup: null });
    for (const who of [other, new Visitor(t.app)]) {
      expect((await who.get(`/c/${night.slug}/drivers/${id}`)).body.toLowerCase()).not.toContain('junior');
    }
    const director = await signedIn(t, night.clubId, 'director');
    expect((await director.get(`/c/${night.slug}/drivers`)).body).toContain('Junior');
  });

  test('it can be answered later; the number of nights that the director knows stays', async () => {
    const visitor = await phone();
    await visitor.post(join(), { code, nickname: 'Pip', raceIds: 'r1' });
    const edit = night.path('me/edit');
    expect((await visitor.get(edit)).body).toContain('Have you raced slot cars before?');
    expect((await visitor.post(edit, { nickname: 'Pip', racedBefore: 'yes' })).statusCode).toBe(303);
    const { id, nightsBefore } = await pip();
    expect(nightsBefore).toBe(12);
    const director = await signedIn(t, night.clubId, 'director');
    await director.get(`/c/${night.slug}/drivers/${id}/edit`);
    const change = { nickname: 'Pip', paceGroup: 'adult', nightsBefore: '40' };
    expect((await director.post(`/c/${night.slug}/drivers/${id}/edit`, change)).statusCode).toBe(303);
    await visitor.post(edit, { nickname: 'Pip', racedBefore: 'yes' });
    expect(await pip()).toMatchObject({ nightsBefore: 40, paceGroup: 'adult' });
    await visitor.post(edit, { nickname: 'Pip', racedBefore: '' });
    expect((await pip()).nightsBefore).toBe(40);
  });
});
