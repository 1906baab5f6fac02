import { and, eq } from 'drizzle-orm';
import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import { device } from '../../db/schema/index.ts';
import { startTestApp, type TestApp } from '../helpers/app.ts';
import { type PlantedNight, plantNight } from '../helpers/planted-night.ts';
import { addSensor, setAside, storedCrossings, TestSensor } from '../helpers/sensors.ts';

let t: TestApp;
let night: PlantedNight;
beforeAll(async () => {
  t = await startTestApp();
  night = await plantNight(t.db, { lanes: 4, drivers: ['Ann', 'Bo'], heats: [{ lanes: [1, 2, 0, 0] }] });
});
afterAll(() => t.close());

const wrap = 2 ** 32;

async function newSensor(bits: 32 | 64 = 64): Promise<TestSensor & { id: string }> {
  const { id, token } = await addSensor(t.db, night, bits);
  return Object.assign(new TestSensor(t.app, token, bits), { id });
}

async function crossingsOf(id: string) {
  return (await storedCrossings(t.db, night.clubId)).filter(({ deviceId }) => deviceId === id);
}

describe('what is taken in', () => {
  test('a report is answered with every number, once, and the server time', async () => {
    const sensor = await newSensor();
    const now = sensor.nowUs();
    const answer = await sensor.report([
      { seq: 7, lane: 1, t_us: now - 900 },
      { seq: 8, lane: 2, t_us: now - 800 },
    ]);
    expect(answer.statusCode).toBe(200);
    const server_us = t.clock.nowUs();
    expect(answer.json()).toEqual({ stored: [7, 8], duplicate: [], conflict: [], rejected: [], server_us });
    expect(await crossingsOf(sensor.id)).toMatchObject([
      { seq: 7, lane: 1, tUs: now - 900, atUs: server_us - 900, late: false, boot: 'b1' },
      { seq: 8, lane: 2, tUs: now - 800, atUs: server_us - 800, late: false, boot: 'b1' },
    ]);
  });

  test('500 crossings come in one request of less than 64 KiB', async () => {
    const sensor = await newSensor();
    const events = Array.from({ length: 500 }, (_, i) => ({ seq: i, lane: (i % 4) + 1, t_us: 90_000_000 + i }));
    expect((await sensor.crossed(...events)).stored).toHaveLength(500);
    expect((await crossingsOf(sensor.id)).map(({ seq }) => seq)).toEqual(events.map(({ seq }) => seq));
  });

  test('the greatest numbers are kept exactly', async () => {
    const sensor = await newSensor();
    const safe = Number.MAX_SAFE_INTEGER;
    const answer = await sensor.report([{ seq: safe, lane: 1, t_us: safe - 1 }], { sent_us: safe });
    expect(answer.json()).toMatchObject({ stored: [safe] });
    expect(await crossingsOf(sensor.id)).toMatchObject([{ seq: safe, tUs: safe - 1, atUs: t.clock.nowUs() - 1 }]);
  });

  test('the time is told without a token', async () => {
    const answer = await t.app.inject({ url: '/api/v1/time' });
    expect(answer.json()).toEqual({ server_us: t.clock.nowUs() });
  });

  test('cookies are not looked at and no other page may ask from a browser', async () => {
    const sensor = await newSensor();
    const answer = await t.app.inject({
      method: 'POST',
      url: '/api/v1/crossings',
      headers: {
        authorization: `Bearer ${sensor.token}`,
        'content-type': 'application/json; charset=utf-8',
        origin: 'http://evil.example',
        'sec-fetch-site': 'cross-site',
      },
      cookies: { lw_sid: 'x' },
      payload: { boot: 'b1', bits: 64, sent_us: 5, events: [{ seq: 1, lane: 1, t_us: 4 }] },
    });
    expect(answer.statusCode).toBe(200);
    expect(Object.keys(answer.headers).filter((name) => name.startsWith('access-control'))).toEqual([]);
    expect(answer.headers['set-cookie']).toBeUndefined();
    const preflight = await t.app.inject({
      method: 'OPTIONS',
      url: '/api/v1/crossings',
      headers: { origin: 'http://x' },
    });
    expect(preflight.statusCode).toBe(404);
  });
});

describe('what is refused as a whole', () => {
  const good = { boot: 'b1', bits: 64, sent_us: 1_000, events: [{ seq: 1, lane: 1, t_us: 900 }] };
  const one = good.events[0];
  const many = (n: number) => Array.from({ length: n }, (_, seq) => ({ seq, lane: 1, t_us: 900 }));
  test.each<[string, unknown]>([
    ['no JSON', '{"boot":'],
    ['nothing', ''],
    ['a list', []],
    ['null', 'null'],
    ['an unknown key', { ...good, extra: 1 }],
    ['an unknown key of a crossing', { ...good, events: [{ ...one, extra: 1 }] }],
    ['no boot', { ...good, boot: undefined }],
    ['an empty boot', { ...good, boot: '' }],
    ['a boot too long', { ...good, boot: 'b'.repeat(33) }],
    ['a boot with other characters', { ...good, boot: 'b 1' }],
    ['a boot that is a number', { ...good, boot: 1 }],
    ['no bits', { ...good, bits: undefined }],
    ['other bits', { ...good, bits: 16 }],
    ['bits as text', { ...good, bits: '64' }],
    ['no sending time', { ...good, sent_us: undefined }],
    ['a sending time below 0', { ...good, sent_us: -1 }],
    ['a fraction', { ...good, sent_us: 1.5 }],
    [
      'a sending time above 2^53 - 1',
      '{"boot":"b1","bits":64,"sent_us":9007199254740992,"events":[{"seq":1,"lane":1,"t_us":9}]}',
    ],
    ['a sending time that 32 bits cannot show', { ...good, bits: 32, sent_us: wrap }],
    ['a crossing that 32 bits cannot show', { ...good, bits: 32, events: [{ ...one, t_us: wrap }] }],
    ['no crossings', { ...good, events: [] }],
    ['crossings that are no list', { ...good, events: one }],
    ['501 crossings', { ...good, events: many(501) }],
    ['the same number twice', { ...good, events: [one, { ...one, lane: 2 }] }],
    ['the very same crossing twice', { ...good, events: [one, one] }],
    ['a number below 0', { ...good, events: [{ ...one, seq: -1 }] }],
    ['a number that is a fraction', { ...good, events: [{ ...one, seq: 0.5 }] }],
    ['no lane', { ...good, events: [{ seq: 1, t_us: 900 }] }],
    ['a lane that is null', { ...good, events: [{ ...one, lane: null }] }],
    ['an instant below 0', { ...good, events: [{ ...one, t_us: -5 }] }],
    ['an instant as text', { ...good, events: [{ ...one, t_us: '900' }] }],
  ])('%s: 400, nothing kept, and words for the maker', async (_, body) => {
    const sensor = await newSensor();
    const answer = await sensor.send('crossings', body);
    expect(answer.statusCode).toBe(400);
    expect(answer.json()).toMatchObject({ error: 'malformed' });
    expect(await crossingsOf(sensor.id)).toEqual([]);
  });

  test('the words name the place', async () => {
    const sensor = await newSensor();
    const answer = await sensor.send('crossings', { ...good, events: [one, { ...one, seq: 2, t_us: 'x' }] });
    expect((answer.json() as { sentence: string }).sentence).toContain('events.1.t_us');
  });

  test.each<[string, Record<string, unknown>]>([
    ['an unknown key', { extra: 1 }],
    ['no count', { buffered: undefined }],
    ['a count below 0', { buffered: -1 }],
    ['no round trip', { rtt_us: undefined }],
    ['a round trip below 0', { rtt_us: -1 }],
    ['a boot with other characters', { boot: 'ä' }],
  ])('a heartbeat with %s: 400', async (_, more) => {
    expect((await (await newSensor()).beat(more)).statusCode).toBe(400);
  });

  test.each(['application/x-www-form-urlencoded', 'text/plain', 'multipart/form-data', ''])(
    'content of type "%s": 415, nothing kept',
    async (type) => {
      const sensor = await newSensor();
      const answer = await t.app.inject({
        method: 'POST',
        url: '/api/v1/crossings',
        headers: { authorization: `Bearer ${sensor.token}`, ...(type ? { 'content-type': type } : {}) },
        payload: JSON.stringify(good),
      });
      expect(answer.statusCode).toBe(415);
      expect(await crossingsOf(sensor.id)).toEqual([]);
    },
  );

  test('more than 64 KiB: 413', async () => {
    const sensor = await newSensor();
    const body = JSON.stringify(good);
    const exactly = body + ' '.repeat(64 * 1024 - body.length);
    expect((await sensor.send('crossings', exactly)).statusCode).toBe(200);
    expect((await sensor.send('crossings', `${exactly} `)).statusCode).toBe(413);
  });

  test('without a valid token: 401, also for a body that is wrong or too large', async () => {
    const { token } = await newSensor();
    const wrong = token.slice(0, -1) + (token.endsWith('A') ? 'B' : 'A');
    for (const authorization of [
      '',
      'Bearer',
      `Bearer ${wrong}`,
      token,
      `Basic ${token}`,
      `Bearer lw_dev_nobody_${token.slice(-43)}`,
    ]) {
      for (const payload of [JSON.stringify(good), 'x'.repeat(100_000)]) {
        for (const door of ['crossings', 'heartbeat']) {
          const answer = await t.app.inject({
            method: 'POST',
            url: `/api/v1/${door}`,
            headers: { 'content-type': 'application/json', ...(authorization ? { authorization } : {}) },
            payload,
          });
          expect(answer.statusCode, authorization).toBe(401);
          expect(answer.headers['www-authenticate']).toBe('Bearer');
          expect(answer.json()).toMatchObject({ error: 'noToken' });
        }
      }
    }
  });

  test('a token that was taken back or renewed opens nothing from the next request on', async () => {
    for (const set of [{ revokedAt: new Date() }, { tokenHash: 'another' }]) {
      const sensor = await newSensor();
      expect((await sensor.crossed({ seq: 1, lane: 1, t_us: 900 })).stored).toEqual([1]);
      await t.db.withClub(night.clubId, (tx) =>
        tx
          .update(device)
          .set(set)
          .where(and(eq(device.clubId, night.clubId), eq(device.id, sensor.id))),
      );
      expect((await sensor.report([{ seq: 2, lane: 1, t_us: 950 }])).statusCode).toBe(401);
      expect((await sensor.beat()).statusCode).toBe(401);
      expect((await crossingsOf(sensor.id)).map(({ seq }) => seq)).toEqual([1]);
    }
  });
});

describe('limits of one device', () => {
  test('500 crossings a second: 429 with the time to wait, and another device is not held up', async () => {
    const sensor = await newSensor();
    const events = (from: number) => Array.from({ length: 400 }, (_, i) => ({ seq: from + i, lane: 1, t_us: 900 + i }));
    expect((await sensor.report(events(0))).statusCode).toBe(200);
    const refused = await sensor.report(events(400));
    expect(refused.statusCode).toBe(429);
    expect(Number(refused.headers['retry-after'])).toBeGreaterThanOrEqual(1);
    expect(refused.json()).toMatchObject({ error: 'tooMany' });
    expect(await crossingsOf(sensor.id)).toHaveLength(400);
    expect((await (await newSensor()).report(events(0))).statusCode).toBe(200);
  });

  test('50 requests a second: 429', async () => {
    const sensor = await newSensor();
    const began = performance.now();
    const codes = await Promise.all(
      Array.from({ length: 300 }, async (_, seq) => (await sensor.report([{ seq, lane: 1, t_us: 900 }])).statusCode),
    );
    const seconds = (performance.now() - began) / 1000;
    const taken = codes.filter((code) => code === 200).length;
    expect(taken).toBeGreaterThanOrEqual(50);
    expect(taken).toBeLessThanOrEqual(50 + 50 * seconds + 1);
    expect(new Set(codes)).toEqual(new Set([200, 429]));
  });
});

describe('what is rejected', () => {
  test('a lane the track has not, an instant after the report, one of the day before: final, with a reason, and kept aside', async () => {
    const sensor = await newSensor();
    const now = sensor.nowUs();
    const day = 24 * 3_600_000_000;
    t.clock.advance(2 * day);
    const later = now + 2 * day;
    const answer = await sensor.crossed(
      { seq: 1, lane: 5, t_us: later - 10 },
      { seq: 2, lane: 1, t_us: later + 200_000 },
      { seq: 3, lane: 1, t_us: later - day - 1 },
      { seq: 4, lane: 1, t_us: later - day },
      { seq: 5, lane: 1, t_us: later + 100_000 },
      { seq: 6, lane: 0, t_us: later - 10 },
    );
    expect(answer).toMatchObject({ stored: [4, 5], duplicate: [], conflict: [] });
    expect(answer.rejected).toEqual([
      { seq: 1, why: 'the track has no such lane' },
      { seq: 2, why: 't_us is later than sent_us' },
      { seq: 3, why: 'more than 24 hours old' },
      { seq: 6, why: 'the track has no such lane' },
    ]);
    const aside = (await setAside(t.db, night.clubId)).filter(({ deviceId }) => deviceId === sensor.id);
    expect(aside).toMatchObject([
      { seq: 1, lane: 5, why: 'lane' },
      { seq: 2, why: 'future' },
      { seq: 3, why: 'old' },
      { seq: 6, lane: 0, why: 'lane' },
    ]);
    expect(await sensor.finalTo()).toBe(6);
  });

  test('a crossing that is stored stays a duplicate when its retry comes a day later', async () => {
    const sensor = await newSensor();
    const event = { seq: 1, lane: 1, t_us: sensor.nowUs() };
    await sensor.crossed(event);
    t.clock.advance(26 * 3_600_000_000);
    expect(await sensor.crossed(event)).toMatchObject({ duplicate: [1], rejected: [] });
  });
});

describe('the width of the clock', () => {
  test('is what the first report of a device says', async () => {
    const { id, token } = await addSensor(t.db, night, 64);
    const sensor = Object.assign(new TestSensor(t.app, token, 32), { id });
    await sensor.crossed({ seq: 1, lane: 1, t_us: sensor.nowUs() });
    const rows = await t.db.readClub(night.clubId, (tx) => tx.select().from(device).where(eq(device.id, id)));
    expect(rows).toMatchObject([{ bits: 32 }]);
  });

  test('cannot change once there are crossings', async () => {
    const sensor = await newSensor(64);
    await sensor.crossed({ seq: 1, lane: 1, t_us: sensor.nowUs() });
    const answer = await sensor.report([{ seq: 2, lane: 1, t_us: 950 }], { bits: 32, sent_us: 1_000 });
    expect(answer.statusCode).toBe(400);
    expect((answer.json() as { sentence: string }).sentence).toContain('bits');
    expect(await crossingsOf(sensor.id)).toHaveLength(1);
  });
});
