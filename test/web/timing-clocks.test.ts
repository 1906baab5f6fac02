import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import { buildApp } from '../../server/app.ts';
import { selectDevices } from '../../server/timing/store.ts';
import { startTestApp, type TestApp } from '../helpers/app.ts';
import {
  addSensor,
  eventsOf,
  nightWithSensor,
  storedCrossings,
  type TestEvent,
  TestSensor,
} from '../helpers/sensors.ts';

let t: TestApp;
beforeAll(async () => {
  t = await startTestApp();
});
afterAll(() => t.close());

const second = 1_000_000;
const wrap = 2 ** 32;

describe('late', () => {
  test('is what belongs to a heat that was confirmed before, and nothing else', async () => {
    const { night, sensor } = await nightWithSensor(t);
    const zero = t.clock.nowUs();
    const device = (atUs: number) => sensor.nowUs() - (t.clock.nowUs() - atUs);
    await night.press('h1', 'arm', zero + 10 * second);
    await night.press('h1', 'start', zero + 15 * second);
    await night.press('h1', 'stop', zero + 60 * second);
    t.clock.advance(70 * second);
    await sensor.crossed({ seq: 1, lane: 1, t_us: device(zero + 20 * second) });
    await night.press('h1', 'confirm', zero + 70 * second);
    await night.press('h2', 'arm', zero + 80 * second);
    t.clock.advance(30 * second);
    await sensor.crossed(
      { seq: 2, lane: 1, t_us: device(zero + 30 * second) }, // of the confirmed heat
      { seq: 3, lane: 1, t_us: device(zero + 10 * second) }, // at the instant of its arm
      { seq: 4, lane: 1, t_us: device(zero + 10 * second - 1) }, // of none
      { seq: 5, lane: 1, t_us: device(zero + 80 * second) }, // of the second heat
      { seq: 6, lane: 1, t_us: device(zero + 80 * second - 1) },
    );
    const late = (await storedCrossings(t.db, night.clubId)).filter((c) => c.late).map(({ seq }) => seq);
    expect(late).toEqual([2, 3, 6]);
    await night.press('h2', 'confirm', zero + 100 * second);
    await sensor.crossed({ seq: 7, lane: 1, t_us: device(zero + 90 * second) });
    // A retry changes nothing that was stored before.
    expect((await sensor.crossed({ seq: 5, lane: 1, t_us: device(zero + 80 * second) })).duplicate).toEqual([5]);
    const after = (await storedCrossings(t.db, night.clubId)).filter((c) => c.late).map(({ seq }) => seq);
    expect(after).toEqual([2, 3, 6, 7]);
  });

  test('of two arms at one instant the later one counts', async () => {
    const { night, sensor } = await nightWithSensor(t);
    const zero = t.clock.nowUs();
    await night.press('h1', 'arm', zero);
    await night.press('h1', 'confirm', zero);
    await night.press('h2', 'arm', zero);
    t.clock.advance(second);
    await sensor.crossed({ seq: 1, lane: 1, t_us: sensor.nowUs() });
    expect(await storedCrossings(t.db, night.clubId)).toMatchObject([{ late: false }]);
  });
});

describe('clocks', () => {
  test('a clock of 32 bits that wraps between two crossings', async () => {
    const { night, sensor } = await nightWithSensor(t, 32);
    const now = t.clock.nowUs();
    const sent = 400_000; // it wrapped 0.4 s ago
    const report = [
      { seq: 1, lane: 1, t_us: wrap - 600_000 },
      { seq: 2, lane: 1, t_us: 300_000 },
    ];
    expect((await sensor.report(report, { sent_us: sent })).json()).toMatchObject({ stored: [1, 2] });
    expect(await storedCrossings(t.db, night.clubId)).toMatchObject([
      { tUs: wrap - 600_000, atUs: now - second },
      { tUs: 300_000, atUs: now - 100_000 },
    ]);
  });

  test('five hours of a clock that wraps each 71.6 minutes, with a restart of the server each hour', async () => {
    const { night, sensor, id } = await nightWithSensor(t, 32);
    const { clock, db } = t;
    for (let hour = 1; hour <= 5; hour += 1) {
      const app = await buildApp({ config: t.app.config, db, clock });
      const again = Object.assign(new TestSensor(app, sensor.token, 32), { boot: 'long' });
      for (let i = 0; i < 6; i += 1) {
        clock.advance(600 * second);
        const seq = hour * 10 + i;
        await again.crossed({ seq, lane: 1, t_us: (again.nowUs() - 5 * second + wrap) % wrap });
        const kept = (await storedCrossings(db, night.clubId)).filter((c) => c.deviceId === id && c.seq === seq);
        expect(kept).toMatchObject([{ atUs: clock.nowUs() - 5 * second }]);
      }
      await app.close();
    }
  });

  test('half the least round trip is taken off, and what was stored before stays as it was', async () => {
    const { night, sensor } = await nightWithSensor(t);
    const atUs = async () => (await storedCrossings(t.db, night.clubId)).map((c) => c.atUs);
    await sensor.beat({ rtt_us: null });
    const [first] = eventsOf(sensor, 1) as [TestEvent];
    await sensor.crossed(first);
    const before = await atUs();
    await sensor.beat({ rtt_us: 9_000 });
    await sensor.beat({ rtt_us: 30_000 });
    await sensor.crossed({ ...first, seq: 2 });
    expect(await atUs()).toEqual([before[0], (before[0] ?? 0) - 4_500]);
  });

  test('a clock that is 1 % off is marked within a minute, a good one is not', async () => {
    const { night, sensor, id } = await nightWithSensor(t);
    const good = await addSensor(t.db, night);
    const goodSensor = new TestSensor(t.app, good.token);
    const zeroUs = sensor.nowUs();
    for (let i = 0; i < 30; i += 1) {
      await sensor.beat({ sent_us: zeroUs + Math.round((sensor.nowUs() - zeroUs) * 1.01) });
      await goodSensor.beat({ sent_us: zeroUs + Math.round((goodSensor.nowUs() - zeroUs) * 1.00005) });
      t.clock.advance(2 * second);
    }
    const devices = await t.db.readClub(night.clubId, (tx) => selectDevices(tx, night.clubId, night.trackId));
    const suspect = new Map(devices.map((d) => [d.id, d.clockSuspect]));
    expect(suspect).toEqual(
      new Map([
        ['s1', false],
        [id, true],
        [good.id, false],
      ]),
    );
  });
});
