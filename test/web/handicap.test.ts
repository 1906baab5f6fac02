import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import { buildApp } from '../../server/app.ts';
import { readConfig } from '../../server/config.ts';
import { selectHeatHandicaps } from '../../server/handicap/store.ts';
import { selectHeatPlans } from '../../server/rotation/store.ts';
import { signedIn, startTestApp, type TestApp, Visitor } from '../helpers/app.ts';
import { nightWithPast } from '../helpers/handicap-night.ts';
import { expectDirectorOnly } from '../helpers/own-pages.ts';
import { type NightPlan, type PlantedNight, plantNight } from '../helpers/planted-night.ts';

let t: TestApp;
let clubs = 0;
beforeAll(async () => {
  t = await startTestApp();
});
afterAll(() => t.close());

const line = {
  lanes: 3,
  drivers: ['Ada', 'Bo', 'Cy'],
  heats: [{ lanes: [1, 2, 3] }, { lanes: [2, 3, 1] }, { lanes: [3, 1, 2] }],
  race: { durationMs: 60_000, countdownMs: 3000 },
} as const;

async function plant(plan: Partial<NightPlan> = {}, past = true) {
  clubs += 1;
  const whole = { ...line, slug: `handicap${clubs}`, ...plan };
  const night = past ? await nightWithPast(t, whole) : await plantNight(t.db, whole);
  const director = await signedIn(t, night.clubId, 'director');
  const page = night.path('races/r1/handicap');
  await director.get(page);
  return { night, director, page };
}

const even = { mode: 'delay', dial: '100', cap: '', round: '0.1' };
const heatsOf = (night: PlantedNight) =>
  t.db.readClub(night.clubId, (tx) => selectHeatPlans(tx, night.clubId, night.meetingId));
const toldOf = (night: PlantedNight) =>
  t.db.readClub(night.clubId, (tx) => selectHeatHandicaps(tx, night.clubId, night.meetingId));

/** Delays of each heat by entry, in milliseconds. */
async function delays(night: PlantedNight): Promise<Record<string, number>[]> {
  return (await heatsOf(night)).map(({ lanes }) =>
    Object.fromEntries(lanes.map(({ entryId, delayMs }) => [entryId, delayMs])),
  );
}

async function settled(post: Promise<{ statusCode: number }>): Promise<void> {
  const { statusCode } = await post;
  expect(statusCode).toBeLessThan(400);
  // What is begun after the answer was sent begins in a moment.
  await new Promise((resolve) => setTimeout(resolve, 20));
  await t.app.handicaps.settled();
}

test('delays follow from the laps of earlier nights: the slowest starts at once, the quickest last', async () => {
  const { night, director, page } = await plant();
  await settled(director.post(page, even));
  for (const heat of await delays(night)) {
    expect(heat.e3).toBe(0);
    expect(heat.e2).toBeGreaterThan(0);
    expect(heat.e1).toBeGreaterThan(heat.e2 as number);
    // Equal distance in 60 s: 60 (1 - 5 / 5.5) = 5.5 s; lanes and what is not certain move it a little.
    expect(Math.abs((heat.e1 as number) - 5450)).toBeLessThan(1500);
  }
  for (const { lanes } of (await toldOf(night)).values()) {
    const after = lanes.map((lane) => lane.after as number);
    expect(Math.max(...after) - Math.min(...after)).toBeLessThan(0.1);
    expect(lanes.map((lane) => lane.before as number).reduce((a, b) => a + b)).toBeCloseTo(1, 6);
  }
  const { body } = await director.get(page);
  expect(body).toMatch(/starts \d+(\.\d)? s later/);
  expect(body).not.toMatch(/NaN|Infinity|undefined/);
});
