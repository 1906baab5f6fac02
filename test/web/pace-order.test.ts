import { afterAll, beforeAll, expect, test } from 'vitest';
import { carClass, lap } from '../../db/schema/index.ts';
import { insertRace, selectRaces } from '../../server/meetings/store.ts';
import { type EntryPace, selectPaceOrder } from '../../server/rotation/pace-order-store.ts';
import { insertHeats } from '../../server/rotation/store.ts';
import { startTestApp, type TestApp } from '../helpers/app.ts';
import { plantNight } from '../helpers/planted-night.ts';

let t: TestApp;
let clubs = 0;
beforeAll(async () => {
  t = await startTestApp();
});
afterAll(() => t.close());

/** Laps of a driver `d1`, `d2`, …: of the class of race `r1` (heat `h1`), or of another one (`h2`). */
type Laps = { driver: string; heat: 'h1' | 'h2'; durationsUs: readonly number[]; flags?: string[] };

/** A race of five, `e1` to `e5` signed up in this order, and what was driven in the club so far. */
async function paces(driven: readonly Laps[]): Promise<EntryPace[]> {
  clubs += 1;
  const night = await plantNight(t.db, {
    slug: `paces${clubs}`,
    lanes: 2,
    drivers: ['Ada', 'Bo', 'Cy', 'Di', 'Ed'],
    heats: [{ lanes: [1, 2] }],
  });
  const { clubId, meetingId } = night;
  return t.db.withClub(clubId, async (tx) => {
    await tx.insert(carClass).values({ clubId, id: 'c2', name: 'Trucks' });
    const [first] = await selectRaces(tx, clubId, meetingId);
    if (!first) throw new Error('no race');
    const { className: _, ...row } = first;
    await insertRace(tx, { ...row, id: 'r2', ordinal: 2, classId: 'c2' });
    const heat = { id: 'h2', raceId: 'r2', ordinal: 1, reruns: null, lanes: [], marshals: [] };
    await insertHeats(tx, clubId, meetingId, [heat]);
    let n = 0;
    for (const { driver, heat: heatId, durationsUs, flags = [] } of driven) {
      for (const durationUs of durationsUs) {
        n += 1;
        const key = { clubId, meetingId, heatId, lane: 1, n, entryId: driver.replace('d', 'e') };
        await tx.insert(lap).values({ ...key, driverId: driver, durationUs, flags });
      }
    }
    return selectPaceOrder(tx, { clubId, meetingId, id: 'r1' });
  });
}

const lapsOf = (count: number, durationUs: number) => Array.from({ length: count }, () => durationUs);

test('nobody has driven: the order of sign-up, and no pace', async () => {
  expect(await paces([])).toEqual(
    ['e1', 'e2', 'e3', 'e4', 'e5'].map((entryId) => ({ entryId, medianUs: null, laps: 0, ofClass: false })),
  );
});

test('the fastest median first, who has no clean lap last; flagged laps and single quick ones do not count', async () => {
  const order = await paces([
    { driver: 'd1', heat: 'h1', durationsUs: [6_000_000, 6_100_000, 1] },
    { driver: 'd2', heat: 'h1', durationsUs: [1_000_000, 900_000], flags: ['standing'] },
    { driver: 'd3', heat: 'h1', durationsUs: [5_000_003, 5_000_001, 5_000_002, 9_000_000] },
    { driver: 'd4', heat: 'h1', durationsUs: [7_000_000] },
    { driver: 'd4', heat: 'h1', durationsUs: [2_000_000, 2_000_000], flags: ['mixed'] },
  ]);
  // d3: 5.000001, 5.000002 | 5.000003, 9: of the middle two the lower one.
  expect(order.map(({ entryId, medianUs, laps }) => [entryId, medianUs, laps])).toEqual([
    ['e3', 5_000_002, 4],
    ['e1', 6_000_000, 3],
    ['e4', 7_000_000, 1],
    ['e2', null, 0],
    ['e5', null, 0],
  ]);
});

test('ten laps with cars of the class say more than all laps; nine do not', async () => {
  const order = await paces([
    { driver: 'd1', heat: 'h1', durationsUs: lapsOf(10, 5_000_000) },
    { driver: 'd1', heat: 'h2', durationsUs: lapsOf(30, 9_000_000) },
    { driver: 'd2', heat: 'h1', durationsUs: lapsOf(9, 5_500_000) },
    { driver: 'd2', heat: 'h2', durationsUs: lapsOf(30, 8_000_000) },
    { driver: 'd3', heat: 'h2', durationsUs: lapsOf(2, 7_000_000) },
  ]);
  expect(order.slice(0, 3)).toEqual([
    { entryId: 'e1', medianUs: 5_000_000, laps: 10, ofClass: true },
    { entryId: 'e3', medianUs: 7_000_000, laps: 2, ofClass: false },
    { entryId: 'e2', medianUs: 8_000_000, laps: 39, ofClass: false },
  ]);
});

test('laps of another club are not there', async () => {
  await paces([{ driver: 'd5', heat: 'h1', durationsUs: lapsOf(20, 1_000_000) }]);
  expect((await paces([])).every(({ medianUs }) => medianUs === null)).toBe(true);
});
