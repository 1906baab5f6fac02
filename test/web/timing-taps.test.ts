import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import type { Role } from '../../server/accounts/roles.ts';
import { insertSession } from '../../server/accounts/store.ts';
import { hashSecret, newSecret } from '../../server/accounts/tokens.ts';
import { selectDevices } from '../../server/timing/store.ts';
import { signedIn, startTestApp, type TestApp } from '../helpers/app.ts';
import type { PlantedNight } from '../helpers/planted-night.ts';
import { nightWithSensor, storedCrossings } from '../helpers/sensors.ts';

let t: TestApp;
beforeAll(async () => {
  t = await startTestApp();
});
afterAll(() => t.close());

const second = 1_000_000;

describe('taps of a timekeeper', () => {
  const page = (night: PlantedNight) => night.path('taps');
  async function timekeeper(night: PlantedNight) {
    const visitor = await signedIn(t, night.clubId, 'timekeeper');
    await visitor.get(`/c/${night.clubId}/enter`);
    return visitor;
  }

  test('a press without scripts is a crossing now, and a second copy of it is none', async () => {
    const { night } = await nightWithSensor(t);
    const visitor = await timekeeper(night);
    const atUs = t.clock.nowUs();
    for (let i = 0; i < 3; i += 1) {
      const answer = await visitor.post(page(night), { lane: '2', command_id: 'press-1' });
      expect(answer.statusCode).toBe(303);
      expect(answer.headers.location).toBe(night.path('timekeeper'));
      t.clock.advance(second);
    }
    await visitor.post(page(night), { lane: '2', command_id: 'press-2' });
    expect(await storedCrossings(t.db, night.clubId)).toMatchObject([
      { lane: 2, tUs: atUs, atUs },
      { lane: 2, tUs: atUs + 3 * second, atUs: atUs + 3 * second },
    ]);
    const devices = await t.db.readClub(night.clubId, (tx) => selectDevices(tx, night.clubId, night.trackId));
    expect(devices.filter(({ kind }) => kind === 'server')).toHaveLength(1);
  });

  test('a lane the track has not is refused in words', async () => {
    const { night } = await nightWithSensor(t);
    const answer = await (await timekeeper(night)).post(page(night), { lane: '9', command_id: 'p' });
    expect(answer.statusCode).toBe(400);
    expect(answer.body).toContain('The track has no lane 9.');
    expect(await storedCrossings(t.db, night.clubId)).toEqual([]);
  });

  /** The page's script on somebody's phone. */
  async function newPhone(night: PlantedNight, role: Role = 'timekeeper') {
    const secret = newSecret();
    const { clubId } = night;
    const session = { clubId, role, label: 'timekeeper 2', driverId: null, meetingId: null, hours: 12 };
    await t.db.withClub(clubId, (tx) => insertSession(tx, { ...session, tokenHash: hashSecret(secret) }));
    return (body: unknown, headers: Record<string, string> = { 'sec-fetch-site': 'same-origin' }) =>
      t.app.inject({
        method: 'POST',
        url: page(night),
        headers: { 'content-type': 'application/json', ...headers },
        cookies: { [t.app.sessionCookie]: secret },
        payload: JSON.stringify(body),
      });
  }

  test('a phone is a device of its own: what it sends is kept once, with its own clock', async () => {
    const { night } = await nightWithSensor(t);
    const phone = await newPhone(night);
    const other = await newPhone(night, 'director');
    const now = t.clock.nowUs();
    const body = {
      boot: '9f86d081',
      sent_us: 5 * second,
      rtt_us: 4_000,
      crossings: [{ seq: 1, lane: 3, t_us: 4 * second }],
    };
    expect((await phone(body)).json()).toMatchObject({ stored: [1], duplicate: [] });
    expect((await phone(body)).json()).toMatchObject({ stored: [], duplicate: [1] });
    const asSensor = { boot: '9f86d081', bits: 64, sent_us: 5 * second, events: body.crossings };
    expect((await other(asSensor)).json()).toMatchObject({ stored: [1] });
    expect(await storedCrossings(t.db, night.clubId)).toMatchObject([
      { lane: 3, tUs: 4 * second, atUs: now - second - 2_000 },
      { lane: 3, tUs: 4 * second, atUs: now - second },
    ]);
    const devices = await t.db.readClub(night.clubId, (tx) => selectDevices(tx, night.clubId, night.trackId));
    expect(devices.filter(({ kind }) => kind === 'phone').map(({ name, bits }) => ({ name, bits }))).toEqual([
      { name: 'timekeeper 2', bits: 64 },
      { name: 'timekeeper 2', bits: 64 },
    ]);
  });

  test('only the director and timekeepers may tap, and only from their own pages', async () => {
    const { night } = await nightWithSensor(t);
    const body = { boot: 'b', sent_us: 5, crossings: [{ seq: 1, lane: 1, t_us: 4 }] };
    expect((await (await newPhone(night, 'driver'))(body)).statusCode).toBe(403);
    const phone = await newPhone(night);
    for (const headers of [{ origin: 'http://evil.example' }, { 'sec-fetch-site': 'cross-site' }, {}]) {
      expect((await phone(body, headers)).statusCode).toBe(403);
    }
    expect((await phone({ ...body, crossings: [] })).statusCode).toBe(400);
    const form = await (await timekeeper(night)).post(page(night).replace('m1', 'none'), { lane: '1' });
    expect(form.statusCode).toBe(404);
    expect(await storedCrossings(t.db, night.clubId)).toEqual([]);
  });
});
