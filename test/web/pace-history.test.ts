import { eq } from 'drizzle-orm';
import { afterAll, beforeAll, describe, expect, test, vi } from 'vitest';
import { driver, lap, meeting, paceFit } from '../../db/schema/index.ts';
import { nightsOf, selectLapRows, selectNights } from '../../server/pace/laps-store.ts';
import { insertFit, selectOptionalFitBefore, selectOptionalLatestFit } from '../../server/pace/pace-store.ts';
import { signedIn, startTestApp, type TestApp } from '../helpers/app.ts';
import { type PlantedNight, plantNight } from '../helpers/planted-night.ts';

const second = 1_000_000;
let t: TestApp;
let clubs = 0;
beforeAll(async () => {
  t = await startTestApp();
});
afterAll(() => t.close());

const nightOfTwo = () => {
  clubs += 1;
  return plantNight(t.db, {
    slug: `history${clubs}`,
    lanes: 2,
    drivers: ['Ada', 'Bo'],
    heats: [{ lanes: [1, 2] }, { lanes: [2, 1] }],
  });
};

type KeptLap = { heatId: string; lane: number; n: number; entry: number; durationUs: number; flags?: string[] };

/** Keeps laps as a confirmed heat does. */
const keep = (night: PlantedNight, laps: readonly KeptLap[]) =>
  t.db.withClub(night.clubId, (tx) =>
    tx.insert(lap).values(
      laps.map(({ entry, flags = [], ...row }) => ({
        ...row,
        clubId: night.clubId,
        meetingId: night.meetingId,
        entryId: `e${entry}`,
        driverId: `d${entry}`,
        flags,
      })),
    ),
  );

/** A heat as it was driven: everybody the same laps of 6 s, a little slower on lane 2. */
async function drive(night: PlantedNight, heatId: string, startUs: number, laps = 20) {
  await night.press(heatId, 'arm', startUs - 10 * second);
  await night.press(heatId, 'start', startUs);
  await night.press(heatId, 'confirm', startUs + 200 * second);
  const entries = heatId === 'h1' ? [1, 2] : [2, 1];
  const rows = entries.flatMap((entry, at) =>
    Array.from({ length: laps }, (_, i) => ({
      heatId,
      lane: at + 1,
      n: i + 1,
      entry,
      durationUs: 6 * second + 100_000 * at + 20_000 * ((i * 7) % 5),
      ...(i === 0 ? { flags: ['standing'] } : {}),
    })),
  );
  await keep(night, rows);
}

describe('laps as the model reads them', () => {
  test('seconds, the heat and its start into the night; laps that say little are left out', async () => {
    const night = await nightOfTwo();
    await night.press('h1', 'start', 1_000 * second);
    await night.press('h2', 'start', 1_600 * second);
    const first = { heatId: 'h1', lane: 1, entry: 1 };
    await keep(night, [
      { ...first, n: 1, durationUs: 7_500_000, flags: ['standing'] },
      { ...first, n: 2, durationUs: 6_125_000 },
      { ...first, n: 3, durationUs: 9_000_000, flags: ['interrupted'] },
      { ...first, n: 4, durationUs: 6_000_000, flags: ['mixed'] },
      { ...first, n: 5, durationUs: 6_000_000, flags: ['split'] },
      { ...first, n: 6, durationUs: 6_000_000, flags: ['interrupted', 'ruled'] },
      { heatId: 'h2', lane: 2, entry: 2, n: 1, durationUs: 5_000_000, flags: ['standing'] },
    ]);
    const rows = await t.db.readClub(night.clubId, (tx) => selectLapRows(tx, night.clubId));
    const h1 = { night: 1, heat: 'h1', startS: 0, track: 't1', lane: 1, driver: 'd1', carClass: 'c1' };
    const h2 = { night: 1, heat: 'h2', startS: 600, track: 't1', lane: 2, driver: 'd2', carClass: 'c1' };
    expect(rows).toEqual([
      { ...h1, lap: 1, timeS: 7.5, flag: '' },
      { ...h1, lap: 2, timeS: 6.125, flag: '' },
      { ...h1, lap: 3, timeS: 9, flag: 'call' },
      { ...h2, lap: 1, timeS: 5, flag: '' },
    ]);
    const own = await t.db.readClub(night.clubId, (tx) => selectLapRows(tx, night.clubId, { driverId: 'd2' }));
    expect(own).toEqual(rows.filter((row) => row.driver === 'd2'));
    const none = await t.db.readClub(night.clubId, (tx) => selectLapRows(tx, night.clubId, { meetingIds: [] }));
    expect(none).toEqual([]);
  });

  test('a club without laps has no nights behind it', async () => {
    const night = await nightOfTwo();
    const found = await t.db.readClub(night.clubId, (tx) => selectNights(tx, night.clubId));
    expect(found).toMatchObject([{ id: 'm1', night: 1, hasLaps: false, isRun: false }]);
    expect(await t.db.readClub(night.clubId, (tx) => nightsOf(tx, night.clubId))).toEqual(new Map([['m1', 1]]));
  });
});

describe('fits in the background', () => {
  const latest = (night: PlantedNight) =>
    t.db.readClub(night.clubId, (tx) => selectOptionalLatestFit(tx, night.clubId));
  const ensured = async (night: PlantedNight) => {
    const answer = await t.app.fits.ensure(night.clubId);
    await t.app.fits.settled(night.clubId);
    return answer;
  };
  const nowUs = () => t.clock.nowUs();
  /** The planted meeting lies in the past of the test's clock: tonight is another day. */
  const tonight = (night: PlantedNight) =>
    t.db.withClub(night.clubId, async (tx) => {
      const date = new Date(nowUs() / 1000).toISOString().slice(0, 10);
      await tx.update(meeting).set({ date }).where(eq(meeting.clubId, night.clubId));
    });

  test('none without laps; not in the middle of a night; once all heats are run; again only when something changed', async () => {
    const night = await nightOfTwo();
    await tonight(night);
    expect(await ensured(night)).toBeNull();
    expect(t.app.fits.running(night.clubId)).toBeNull();
    await drive(night, 'h1', nowUs());
    await ensured(night);
    expect(await latest(night)).toBeNull();
    await drive(night, 'h2', nowUs() + 600 * second);
    expect(await ensured(night)).toBeNull();
    const first = await latest(night);
    expect(first).toMatchObject({ n: 1, laps: 80, nights: 1, meetings: new Set(['m1']) });
    expect(first?.fit.drivers.map((each) => each.driver)).toEqual(['d1', 'd2']);
    expect(JSON.stringify(first?.fit)).not.toContain('null,null');

    expect((await ensured(night))?.n).toBe(1);
    expect((await latest(night))?.n).toBe(1);
    // A press that changes no lap: looked at, but not fitted again.
    await night.rule('h2', { kind: 'retire', target: { lane: 1 } }, nowUs() + 900 * second);
    await ensured(night);
    const seen = await latest(night);
    expect(seen).toMatchObject({ n: 1, createdAt: first?.createdAt });
    expect(seen?.inputsStamp).not.toBe(first?.inputsStamp);

    await t.db.withClub(night.clubId, (tx) =>
      tx.update(driver).set({ paceGroup: 'junior' }).where(eq(driver.clubId, night.clubId)),
    );
    expect((await ensured(night))?.n).toBe(1);
    expect((await latest(night))?.n).toBe(2);
    // What was known before the night: nothing is kept.
    expect(await t.db.readClub(night.clubId, (tx) => selectOptionalFitBefore(tx, night.clubId, 'm1'))).toBeNull();
    expect((await t.db.readClub(night.clubId, (tx) => selectOptionalFitBefore(tx, night.clubId, 'm2')))?.n).toBe(2);
  });

  test('a form that says something of a driver asks for a new fit by itself', async () => {
    const night = await nightOfTwo();
    await drive(night, 'h1', nowUs());
    await drive(night, 'h2', nowUs() + 600 * second);
    await ensured(night);
    const director = await signedIn(t, night.clubId, 'director');
    const edit = `/c/${night.slug}/drivers/d1/edit`;
    await director.get(edit);
    // Three in a row are one fit.
    for (const nightsBefore of ['1', '2', '3']) {
      const answer = await director.post(edit, { nickname: 'Ada', paceGroup: 'junior', nightsBefore });
      expect(answer.statusCode).toBe(303);
    }
    await vi.waitUntil(async () => (await latest(night))?.n === 2, { timeout: 15_000, interval: 200 });
    await new Promise((resolve) => setTimeout(resolve, 500));
    expect((await latest(night))?.n).toBe(2);
    expect((await latest(night))?.fit.drivers[0]).toMatchObject({ driver: 'd1', group: 'junior' });
  });

  test('asked for by hand it is made again, with the same numbers; five are kept', async () => {
    const night = await nightOfTwo();
    await drive(night, 'h1', nowUs());
    await drive(night, 'h2', nowUs() + 600 * second);
    await ensured(night);
    const first = await latest(night);
    for (let i = 0; i < 6; i += 1) {
      t.app.fits.again(night.clubId);
      t.app.fits.again(night.clubId);
      expect(t.app.fits.running(night.clubId)).not.toBeNull();
      await t.app.fits.settled(night.clubId);
    }
    const last = await latest(night);
    expect(last?.n).toBe(7);
    expect({ ...last?.fit, seed: 0 }).toEqual({ ...first?.fit, seed: 0 });
    const kept = await t.db.readClub(night.clubId, (tx) =>
      tx.select({ n: paceFit.n }).from(paceFit).where(eq(paceFit.clubId, night.clubId)).orderBy(paceFit.n),
    );
    expect(kept.map(({ n }) => n)).toEqual([3, 4, 5, 6, 7]);
  });

  test('what was known before a night stays, however often the night is worked out', async () => {
    const night = await nightOfTwo();
    await drive(night, 'h1', nowUs());
    await drive(night, 'h2', nowUs() + 600 * second);
    await ensured(night);
    const first = await latest(night);
    if (!first) throw new Error('no fit');
    const later = JSON.stringify([['m1', 'm2'], 'hash']);
    await t.db.withClub(night.clubId, async (tx) => {
      for (let i = 0; i < 8; i += 1) await insertFit(tx, night.clubId, { ...first, inputsStamp: later });
    });
    const before = await t.db.readClub(night.clubId, (tx) => selectOptionalFitBefore(tx, night.clubId, 'm2'));
    expect(before?.n).toBe(1);
    expect((await latest(night))?.n).toBe(9);
  });
});
