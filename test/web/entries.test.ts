import { afterAll, beforeAll, beforeEach, describe, expect, test } from 'vitest';
import { insertCar } from '../../server/drivers/cars-store.ts';
import { insertDrivers, selectDrivers } from '../../server/drivers/store.ts';
import { insertRace, selectEntries } from '../../server/meetings/store.ts';
import { nameKey } from '../../server/shared/names.ts';
import { signedIn, startTestApp, type TestApp, type Visitor } from '../helpers/app.ts';
import { expectDirectorOnly, hostileNames, inHtml } from '../helpers/own-pages.ts';
import { type PlantedNight, plantNight } from '../helpers/planted-night.ts';

let t: TestApp;
let night: PlantedNight;
let director: Visitor;
let clubs = 0;
beforeAll(async () => {
  t = await startTestApp();
});
afterAll(() => t.close());
beforeEach(async () => {
  clubs += 1;
  night = await plantNight(t.db, {
    slug: `club${clubs}`,
    lanes: 2,
    drivers: ['Ada', 'Bo', 'Cleo'],
    heats: [{ lanes: [1, 2], marshals: [3] }],
  });
  director = await signedIn(t, night.clubId, 'director');
  await director.get(night.path('races/r1/entries'));
});

const entries = () => t.db.readClub(night.clubId, (tx) => selectEntries(tx, night.clubId, night.meetingId));
const drivers = () => t.db.readClub(night.clubId, (tx) => selectDrivers(tx, night.clubId, { archived: true }));
const add = (fields: Record<string, string | readonly string[]>) =>
  director.post(night.path('races/r1/entries'), fields);
const change = (entry: string, fields: Record<string, string>) => director.post(night.path(`entries/${entry}`), fields);

async function plantDriver(id: string, nickname: string): Promise<void> {
  const row = { clubId: night.clubId, id, nickname, nicknameKey: nameKey(nickname) };
  await t.db.withClub(night.clubId, (tx) => insertDrivers(tx, [row]));
}

test('only the director enters people', async () => {
  await expectDirectorOnly(t, night.clubId, {
    get: [night.path('races/r1/entries')],
    post: [night.path('races/r1/entries'), night.path('entries/e1')],
  });
  expect((await director.get(night.path('races/r9/entries'))).statusCode).toBe(404);
});

test('one form ticks drivers of the club and types new ones, in this order', async () => {
  await plantDriver('dx', 'Finch');
  await plantDriver('dy', 'Wren');
  const page = await director.get(night.path('races/r1/entries'));
  expect(page.body).toContain('Finch');
  const answer = await add({ driverIds: ['dy', 'dx', 'd1'], names: 'Pip\r\n\r\n  Moss  ' });
  expect(answer.statusCode).toBe(303);
  expect((await entries()).map((entry) => [entry.id, entry.ordinal, entry.nickname])).toEqual([
    ['e1', 1, 'Ada'],
    ['e2', 2, 'Bo'],
    ['e3', 3, 'Cleo'],
    ['e4', 4, 'Wren'],
    ['e5', 5, 'Finch'],
    ['e6', 6, 'Pip'],
    ['e7', 7, 'Moss'],
  ]);
});

describe('wrong names', () => {
  test('come back with what was typed, and nobody is entered', async () => {
    for (const [names, sentence] of [
      ['', 'Tick somebody, or type a nickname.'],
      ['Pip\nada', 'is in the club already'],
      ['Pip\npíp', 'looks the same as the nickname on line 1'],
      [`Pip\n${'x'.repeat(25)}`, 'Line 2: At most 24 characters.'],
    ] as const) {
      const answer = await add({ names });
      expect(answer.statusCode, names).toBe(422);
      expect(answer.body).toContain(sentence);
      expect(answer.body).toContain(inHtml(names));
    }
    expect(await entries()).toHaveLength(3);
    expect(await drivers()).toHaveLength(3);
  });

  test('hostile ones are refused or stand there as text', async () => {
    for (const name of hostileNames.refused.filter((one) => one.trim() !== '')) {
      expect((await add({ names: name })).statusCode, name).toBe(422);
    }
    expect((await add({ names: hostileNames.allowed.join('\n') })).statusCode).toBe(303);
    for (const path of ['races/r1/entries', 'races/r1/rotation', 'programme']) {
      const { body } = await director.get(night.path(path));
      for (const name of hostileNames.allowed) expect(body, path).toContain(`<bdi>${inHtml(name)}</bdi>`);
      expect(body).not.toContain('<img onerror');
    }
  });

  test('an unknown or foreign driver is not entered', async () => {
    expect((await add({ driverIds: ['nobody', 'dx'] })).statusCode).toBe(303);
    expect(await entries()).toHaveLength(3);
  });
});

test('at most 200 drivers are in one meeting', async () => {
  const lines = (from: number, to: number) =>
    Array.from({ length: to - from + 1 }, (_, i) => `Number ${from + i}`).join('\n');
  await add({ names: lines(1, 100) });
  await add({ names: lines(101, 196) });
  expect(await entries()).toHaveLength(199);
  const full = await add({ names: 'Nearly\nToo many' });
  expect(full.statusCode).toBe(422);
  expect(full.body).toContain('At most 200 entries in one meeting');
  expect(await drivers()).toHaveLength(199);
  expect((await add({ names: 'Nearly' })).statusCode).toBe(303);
});

describe('one entry', () => {
  test('is withdrawn and brought back', async () => {
    await change('e1', { act: 'withdraw' });
    expect((await entries())[0]?.withdrawnAt).not.toBeNull();
    expect((await director.get(night.path('races/r1/entries'))).body).toContain('withdrawn');
    await change('e1', { act: 'return' });
    expect((await entries())[0]?.withdrawnAt).toBeNull();
  });

  test('is removed only while no heat names it, driving or standing marshal', async () => {
    await add({ names: 'Pip' });
    for (const entry of ['e1', 'e3']) {
      const answer = await change(entry, { act: 'remove' });
      expect(answer.statusCode, entry).toBe(409);
      expect(answer.body).toContain('Withdraw it instead');
    }
    expect((await change('e4', { act: 'remove' })).statusCode).toBe(303);
    expect((await entries()).map((entry) => entry.id)).toEqual(['e1', 'e2', 'e3']);
    expect((await change('e4', { act: 'remove' })).statusCode).toBe(404);
    expect((await change('e1', { act: 'explode' })).statusCode).toBe(400);
  });

  test('is not removed while a ruling names it', async () => {
    await add({ names: 'Pip' });
    await night.rule('h1', { kind: 'adjust', target: { entry: 'e4' }, value: -50 }, t.clock.nowUs());
    expect((await change('e4', { act: 'remove' })).statusCode).toBe(409);
  });

  test('names a car that its driver may take to the race', async () => {
    const { clubId } = night;
    await t.db.withClub(clubId, async (tx) => {
      await insertCar(tx, { clubId, id: 'mine', name: 'Red one', classId: 'c1', driverId: 'd1' });
      await insertCar(tx, { clubId, id: 'theirs', name: 'Green one', classId: 'c1', driverId: 'd2' });
    });
    expect((await change('e1', { act: 'car', carId: 'mine' })).statusCode).toBe(303);
    expect((await entries())[0]?.carName).toBe('Red one');
    for (const carId of ['theirs', 'nothing']) {
      expect((await change('e1', { act: 'car', carId })).statusCode, carId).toBe(400);
    }
    expect((await entries())[0]?.carId).toBe('mine');
    await change('e1', { act: 'car', carId: 'car1' });
    await change('e2', { act: 'car', carId: '' });
    expect((await entries()).map((entry) => entry.carId)).toEqual(['car1', null, null]);
  });
});

test('who came after the draw is named, with the way out', async () => {
  await add({ names: 'Late Pip' });
  const page = (await director.get(night.path('races/r1/entries'))).body;
  expect(page).toContain('Not in the rotation: Cleo, Late Pip.');
  expect(page).toContain('Draw again');
});

test('a driver can be in two races of one meeting', async () => {
  const { clubId, meetingId } = night;
  await t.db.withClub(clubId, (tx) =>
    insertRace(tx, {
      clubId,
      meetingId,
      id: 'r2',
      ordinal: 2,
      name: 'Second',
      classId: 'c1',
      format: 'laps',
      laps: 10,
      missing: 'zero',
      standingFastest: false,
    }),
  );
  expect((await director.post(night.path('races/r2/entries'), { driverIds: ['d2', 'd3'] })).statusCode).toBe(303);
  const all = await entries();
  expect(all.filter((entry) => entry.raceId === 'r2').map((entry) => [entry.id, entry.nickname])).toEqual([
    ['e4', 'Bo'],
    ['e5', 'Cleo'],
  ]);
  expect(all).toHaveLength(5);
});
