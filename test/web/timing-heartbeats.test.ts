import { sql } from 'drizzle-orm';
import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import { buildApp } from '../../server/app.ts';
import { doorbell } from '../../server/live/notify.ts';
import { selectCrossingsBetween, selectDevices } from '../../server/timing/store.ts';
import { startTestApp, type TestApp } from '../helpers/app.ts';
import { eventsOf, nightWithSensor, range, TestSensor } from '../helpers/sensors.ts';

let t: TestApp;
beforeAll(async () => {
  t = await startTestApp();
});
afterAll(() => t.close());

const second = 1_000_000;

describe('heartbeats', () => {
  test('say up to which number all are final', async () => {
    const { sensor } = await nightWithSensor(t);
    expect(await sensor.finalTo()).toBe(null);
    await sensor.crossed(...eventsOf(sensor, 3, 5));
    expect(await sensor.finalTo()).toBe(7);
    await sensor.crossed(...eventsOf(sensor, 3, 9));
    expect(await sensor.finalTo()).toBe(7);
    await sensor.crossed(...eventsOf(sensor, 1, 8));
    expect(await sensor.finalTo()).toBe(11);
    // A smaller number comes after all: what lies between is missing.
    await sensor.crossed(...eventsOf(sensor, 1, 3));
    expect(await sensor.finalTo()).toBe(3);
    await sensor.crossed(...eventsOf(sensor, 1, 4));
    expect(await sensor.finalTo()).toBe(11);
    sensor.boot = 'other';
    expect(await sensor.finalTo()).toBe(null);
  });

  test('settle how wide the clock is until there are crossings; then another width is refused', async () => {
    const { sensor } = await nightWithSensor(t);
    const narrow = { bits: 32, sent_us: 5_000_000 };
    expect((await sensor.beat(narrow)).statusCode).toBe(200);
    expect((await sensor.beat()).statusCode).toBe(200);
    await sensor.crossed(...eventsOf(sensor, 1));
    const refused = await sensor.beat(narrow);
    expect(refused.statusCode).toBe(400);
    expect(await sensor.finalTo()).toBe(1);
  });

  test('follow thousands of numbers, over a restart of the server', async () => {
    const { night, sensor } = await nightWithSensor(t);
    const rows = sql`insert into crossing (club_id, track_id, device_id, boot, seq, lane, t_us, at_us, fact_no)
      select club_id, track_id, id, 'b1', n, 1, n, n, n from device, generate_series(0, 3500) n
      where club_id = ${night.clubId} and token_hash is not null`;
    await t.db.withClub(night.clubId, (tx) => tx.execute(rows));
    expect(await sensor.finalTo()).toBe(3500);
    const app = await buildApp({ config: t.app.config, db: t.db, clock: t.clock });
    const again = new TestSensor(app, sensor.token);
    expect(await again.finalTo()).toBe(3500);
    await app.close();
  });

  test('after a backup was put back ask for what it does not hold', async () => {
    const { night, sensor } = await nightWithSensor(t);
    await sensor.crossed(...eventsOf(sensor, 20));
    expect(await sensor.finalTo()).toBe(20);
    // The backup was made when 12 had come in, and the heartbeat after it was noted then.
    await t.db.withClub(night.clubId, async (tx) => {
      await tx.execute(sql`delete from crossing where club_id = ${night.clubId} and seq > 12`);
      await tx.execute(sql`update device_boot set final_to = 12 where club_id = ${night.clubId}`);
    });
    expect(await sensor.finalTo()).toBe(12);
    expect((await sensor.crossed(...eventsOf(sensor, 8, 13))).stored).toEqual(range(13, 20));
    expect(await sensor.finalTo()).toBe(20);
  });

  test('show how a sensor is', async () => {
    const { night, sensor, id } = await nightWithSensor(t);
    await sensor.beat({ buffered: 42 });
    const devices = await t.db.readClub(night.clubId, (tx) => selectDevices(tx, night.clubId, night.trackId));
    expect(devices).toHaveLength(2);
    expect(devices.find((d) => d.id === 's1')).toMatchObject({ heartbeatAgeMs: null, buffered: null });
    const shown = devices.find((d) => d.id === id);
    expect(shown).toMatchObject({ kind: 'sensor', bits: 64, name: 'Gantry', buffered: 42, revoked: false });
    expect(shown?.heartbeatAgeMs).toBeGreaterThanOrEqual(0);
    expect(shown?.heartbeatAgeMs).toBeLessThan(5_000);
  });
});

describe('screens', () => {
  test('hear of every report that brought something, and of a sensor that speaks again', async () => {
    const { night, sensor } = await nightWithSensor(t);
    const heard: string[] = [];
    const stop = await t.db.listen(
      doorbell,
      (word) => heard.push(word),
      () => {},
    );
    const rings = async () => {
      await new Promise((resolve) => setTimeout(resolve, 100));
      return heard.splice(0).filter((word) => word === `${night.clubId}/${night.trackId}`).length;
    };
    await sensor.beat();
    expect(await rings()).toBe(1);
    await sensor.beat();
    expect(await rings()).toBe(0);
    const report = eventsOf(sensor, 2);
    await sensor.crossed(...report);
    expect(await rings()).toBe(1);
    await sensor.crossed(...report);
    expect(await rings()).toBe(0);
    await stop();
  });

  test('read crossings by instant', async () => {
    const { night, sensor } = await nightWithSensor(t);
    const now = t.clock.nowUs();
    await sensor.crossed(...[30, 20, 10].map((ago, i) => ({ seq: i, lane: 1, t_us: sensor.nowUs() - ago * second })));
    const between = (fromUs: number, toUs: number | null) =>
      t.db.readClub(night.clubId, async (tx) =>
        (await selectCrossingsBetween(tx, night.clubId, night.trackId, fromUs, toUs)).map(({ seq }) => seq),
      );
    expect(await between(now - 30 * second, now - 10 * second)).toEqual([0, 1]);
    expect(await between(now - 20 * second, null)).toEqual([1, 2]);
  });
});
