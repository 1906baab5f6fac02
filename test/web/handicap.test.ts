import { afterAll, beforeAll, expect, test } from 'vitest';
import { selectHeatPlans } from '../../server/rotation/store.ts';
import { signedIn, startTestApp, type TestApp } from '../helpers/app.ts';
import { expectDirectorOnly } from '../helpers/own-pages.ts';
import { type PlantedNight, plantNight } from '../helpers/planted-night.ts';

let t: TestApp;
let clubs = 0;
beforeAll(async () => {
  t = await startTestApp();
});
afterAll(() => t.close());

async function plant() {
  clubs += 1;
  const night = await plantNight(t.db, {
    slug: `handicap${clubs}`,
    lanes: 2,
    drivers: ['Ada', 'Bo'],
    heats: [{ lanes: [1, 2] }, { lanes: [2, 1] }],
  });
  const director = await signedIn(t, night.clubId, 'director');
  const page = night.path('races/r1/handicap');
  await director.get(page);
  return { night, director, page };
}

/** Delays of each heat by lane, in milliseconds. */
async function delays(night: PlantedNight): Promise<number[][]> {
  const heats = await t.db.readClub(night.clubId, (tx) => selectHeatPlans(tx, night.clubId, night.meetingId));
  return heats.map(({ lanes }) => lanes.map(({ delayMs }) => delayMs));
}

test('a delay holds for every heat not armed yet, and for what is drawn later', async () => {
  const { night, director, page } = await plant();
  await night.press('h1', 'arm', t.clock.nowUs());
  expect((await director.post(page, { 'delay-0': '2,5', 'delay-1': '' })).statusCode).toBe(303);
  expect(await delays(night)).toEqual([
    [0, 0],
    [0, 2500],
  ]);
  expect((await director.get(page)).body).toContain('value="2.5"');
  const draw = { runsPerLane: '2', laneOrder: '1 2', order: 'signUp', marshals: '0', search: '0' };
  expect((await director.post(night.path('races/r1/rotation/draw'), draw)).statusCode).toBe(303);
  const drawn = (await delays(night)).slice(1);
  expect(drawn.length).toBeGreaterThan(1);
  for (const heat of drawn) expect([...heat].sort((a, b) => a - b)).toEqual([0, 2500]);
});

test('a wrong delay comes back with a sentence and changes nothing', async () => {
  const { night, director, page } = await plant();
  for (const wrong of ['-1', 'soon', '601', '1e3']) {
    const answer = await director.post(page, { 'delay-0': wrong, 'delay-1': '3' });
    expect(answer.statusCode, wrong).toBe(422);
    expect(answer.body).toContain('A number from 0 to 600.');
    expect(answer.body).toContain(`value="${wrong}"`);
  }
  expect((await delays(night)).flat()).toEqual([0, 0, 0, 0]);
});

test('only the director may', async () => {
  const { night, page } = await plant();
  await expectDirectorOnly(t, night.clubId, { get: [page], post: [page] });
});
