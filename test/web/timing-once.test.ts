import { sql } from 'drizzle-orm';
import fc from 'fast-check';
import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import { selectCrossingsAfter } from '../../server/timing/store.ts';
import { startTestApp, type TestApp } from '../helpers/app.ts';
import {
  addSensor,
  eventsOf,
  nightWithSensor,
  range,
  setAside,
  storedCrossings,
  type TestEvent,
  TestSensor,
} from '../helpers/sensors.ts';

let t: TestApp;
beforeAll(async () => {
  t = await startTestApp();
});
afterAll(() => t.close());

describe('exactly once', () => {
  test('eight copies of a report at once: each number is stored by one of them and a duplicate in the others', async () => {
    const { night, sensor } = await nightWithSensor(t);
    const report = eventsOf(sensor, 20);
    const answers = await Promise.all(range(1, 8).map(() => sensor.crossed(...report)));
    const told = (kind: 'stored' | 'duplicate') => answers.flatMap((a) => a[kind]).sort((a, b) => a - b);
    expect(told('stored')).toEqual(range(1, 20));
    expect(told('duplicate')).toEqual(range(1, 20).flatMap((seq) => Array(7).fill(seq)));
    expect(answers.flatMap((a) => [...a.conflict, ...a.rejected])).toEqual([]);
    expect(await storedCrossings(t.db, night.clubId)).toHaveLength(20);
  });

  test('reports in any order, in any portions, sent again at will: the same crossings are kept', async () => {
    const { sensor, night } = await nightWithSensor(t);
    const { app } = sensor;
    const all = eventsOf(sensor, 60);
    // Every run is a boot of its own, so that runs do not know of each other.
    let run = 0;
    await fc.assert(
      fc.asyncProperty(
        fc.shuffledSubarray(all, { minLength: 60 }),
        fc.array(fc.integer({ min: 2, max: 25 }), { minLength: 1, maxLength: 12 }),
        fc.array(fc.nat(), { maxLength: 4 }),
        async (order, sizes, again) => {
          run += 1;
          const { token } = await addSensor(t.db, night);
          const fresh = Object.assign(new TestSensor(app, token), { boot: `run${run}` });
          const reports: TestEvent[][] = [];
          for (let at = 0, i = 0; at < order.length; i += 1) {
            const size = sizes[i % sizes.length] ?? 1;
            reports.push(order.slice(at, at + size));
            at += size;
          }
          for (const n of again) reports.push(reports[n % reports.length] ?? []);
          const answers = await Promise.all(reports.map((report) => fresh.crossed(...report)));
          expect(answers.flatMap((a) => a.stored).sort((a, b) => a - b)).toEqual(range(1, 60));
          const kept = (await storedCrossings(t.db, night.clubId)).filter(({ boot }) => boot === fresh.boot);
          expect(kept.sort((a, b) => a.seq - b.seq).map(({ seq, lane, tUs }) => ({ seq, lane, t_us: tUs }))).toEqual(
            all,
          );
          expect(await fresh.finalTo()).toBe(60);
        },
      ),
      { numRuns: 25 },
    );
  });

  test('numbers of the track rise without two alike, whoever reports', async () => {
    const { night, sensor } = await nightWithSensor(t);
    const others = await Promise.all(
      range(1, 5).map(async () => new TestSensor(t.app, (await addSensor(t.db, night)).token)),
    );
    await Promise.all(
      [sensor, ...others].flatMap((s) => [s.crossed(...eventsOf(s, 9)), s.crossed(...eventsOf(s, 9, 10))]),
    );
    const numbers = (await storedCrossings(t.db, night.clubId)).map(({ factNo }) => factNo);
    expect(numbers).toHaveLength(108);
    expect(new Set(numbers).size).toBe(108);
  });

  test('a reader of "above the last number I have" misses nothing while reports come in', async () => {
    const { night, sensor } = await nightWithSensor(t);
    const read: number[] = [];
    let last = 0;
    let done = false;
    const reader = async () => {
      while (!done) {
        const news = await t.db.readClub(night.clubId, (tx) =>
          selectCrossingsAfter(tx, night.clubId, night.trackId, last),
        );
        for (const { seq, factNo } of news) {
          read.push(seq);
          last = factNo;
        }
      }
    };
    const reading = reader();
    for (let i = 0; i < 10; i += 1) {
      await Promise.all(range(0, 3).map((k) => sensor.crossed(...eventsOf(sensor, 5, 1 + i * 20 + k * 5))));
    }
    done = true;
    await reading;
    const rest = await t.db.readClub(night.clubId, (tx) => selectCrossingsAfter(tx, night.clubId, night.trackId, last));
    read.push(...rest.map(({ seq }) => seq));
    expect(read.sort((a, b) => a - b)).toEqual(range(1, 200));
  });

  test('without its key the table would take a crossing twice, and nothing is answered', async () => {
    // What the key is good for is seen when it is missing.
    const scratch = await startTestApp();
    try {
      const { night, sensor } = await nightWithSensor(scratch);
      await sensor.crossed(...eventsOf(sensor, 3));
      const again = sql`insert into crossing (club_id, track_id, device_id, boot, seq, lane, t_us, at_us, fact_no)
        select club_id, track_id, device_id, boot, seq, lane, t_us, at_us, fact_no + 1000 from crossing`;
      const count = async () => (await storedCrossings(scratch.db, night.clubId)).length;
      await expect(scratch.db.withClub(night.clubId, (tx) => tx.execute(again))).rejects.toMatchObject({
        cause: { code: '23505' },
      });
      expect(await count()).toBe(3);
      await scratch.db.clubless.execute(
        sql`alter table crossing drop constraint "crossing_club_id_track_id_device_id_boot_seq_pk"`,
      );
      await scratch.db.withClub(night.clubId, (tx) => tx.execute(again));
      expect(await count()).toBe(6);
      expect((await sensor.report(eventsOf(sensor, 3, 50))).statusCode).toBe(500);
      expect(await count()).toBe(6);
    } finally {
      await scratch.close();
    }
  });
});

describe('a number used again with other content', () => {
  test('the first stays, the other is set aside once and told', async () => {
    const { night, sensor } = await nightWithSensor(t);
    const [first] = eventsOf(sensor, 1) as [TestEvent];
    const moved = { ...first, t_us: first.t_us + 1_000 };
    expect((await sensor.crossed(first)).stored).toEqual([1]);
    for (let i = 0; i < 3; i += 1) expect(await sensor.crossed(moved)).toMatchObject({ stored: [], conflict: [1] });
    expect((await sensor.crossed({ ...first, lane: 2 })).conflict).toEqual([1]);
    expect((await sensor.crossed(first)).duplicate).toEqual([1]);
    expect(await storedCrossings(t.db, night.clubId)).toMatchObject([{ seq: 1, lane: 1, tUs: first.t_us }]);
    const aside = await setAside(t.db, night.clubId);
    expect(aside.map(({ seq, lane, tUs, why }) => ({ seq, lane, tUs, why }))).toEqual([
      { seq: 1, lane: 1, tUs: moved.t_us, why: 'conflict' },
      { seq: 1, lane: 2, tUs: first.t_us, why: 'conflict' },
    ]);
  });

  test('of two contents at the same moment one wins and the other is told', async () => {
    const { night, sensor } = await nightWithSensor(t);
    const [first] = eventsOf(sensor, 1) as [TestEvent];
    const answers = await Promise.all(range(1, 4).map((lane) => sensor.crossed({ ...first, lane })));
    expect(answers.flatMap((a) => a.stored)).toEqual([1]);
    expect(answers.flatMap((a) => a.conflict)).toEqual([1, 1, 1]);
    expect(await storedCrossings(t.db, night.clubId)).toHaveLength(1);
    expect(await setAside(t.db, night.clubId)).toHaveLength(3);
  });

  test('a restarted device may begin its numbers again', async () => {
    const { night, sensor } = await nightWithSensor(t);
    const report = eventsOf(sensor, 3);
    await sensor.crossed(...report);
    sensor.boot = 'b2';
    expect((await sensor.crossed(...report)).stored).toEqual([1, 2, 3]);
    expect(await storedCrossings(t.db, night.clubId)).toHaveLength(6);
  });
});
