import { eq, sql } from 'drizzle-orm';
import type { InjectOptions } from 'fastify';
import { afterAll, beforeAll, beforeEach, describe, expect, test } from 'vitest';
import { car } from '../../db/schema/index.ts';
import { type Access, may, type Role } from '../../server/accounts/roles.ts';
import { csrfToken } from '../../server/accounts/tokens.ts';
import { insertClub } from '../../server/clubs/store.ts';
import { addProfile } from '../../server/profiles/actions.ts';
import { revokeToken } from '../../server/timing/device-actions.ts';
import { putUnit } from '../../server/units/actions.ts';
import { keepReadings } from '../../server/units/trace-actions.ts';
import { signedIn, startTestApp, type TestApp } from '../helpers/app.ts';
import { type PlantedNight, plantNight } from '../helpers/planted-night.ts';
import { profileWith } from '../helpers/profile-forms.ts';
import { addSensor, TestSensor } from '../helpers/sensors.ts';

/**
 * Every route with every role, as the program itself lists them: a route that is added is tested without a word here.
 * The rules are those of the OWASP ASVS 5.0.0: 8.2.1 and 8.2.2 (function and object level), 3.5.1 to 3.5.3 (CSRF, no
 * change by GET).
 */

let t: TestApp;
let night: PlantedNight;
let sensor: { id: string; token: string };

beforeAll(async () => {
  t = await startTestApp();
  night = await plantNight(t.db, {
    lanes: 2,
    drivers: ['Driver 1', 'Driver 2'],
    heats: [{ lanes: [1, 2] }, { lanes: [2, 1] }],
  });
  sensor = await addSensor(t.db, night);
  const first = { setup: profileWith(), note: '', author: 'director', origin: null };
  const kept = await t.db.withClub('owls', (tx) =>
    addProfile(tx, 'owls', { driverId: 'd1', carId: null, trackId: null, ...first }),
  );
  if (!('id' in kept)) throw new Error(kept.refused);
  const unit =
    (await t.db.withClub('owls', (tx) =>
      putUnit(tx, 'owls', { name: 'Red grip', driverId: 'd1', trackId: null, lane: null }),
    )) ?? '';
  const readings = { bits: 12, restSamples: 30, counts: [1] };
  await keepReadings(t.db, { clubId: 'owls', id: unit }, { ...readings, source: 'paste' });
  await t.db.withClub('owls', (tx) => tx.update(car).set({ driverId: 'd1' }).where(eq(car.id, 'car1')));
  Object.assign(known, { profile: kept.id, version: '1', unit });
  await t.db.withClub('others', (tx) => insertClub(tx, { id: 'others', slug: 'others', name: 'Others', zone: 'UTC' }));
});
afterAll(() => t.close());

const known: Record<string, string> = {
  club: 'owls',
  meeting: 'm1',
  race: 'r1',
  heat: 'h1',
  entry: 'e1',
  track: 't1',
  driver: 'd1',
  car: 'car1',
  carClass: 'c1',
  code: 'results-owls',
  topic: 'counting',
  n: '1',
};

/** The address of a route with something that is really there. */
function addressOf(url: string): string {
  return url
    .replace('*', 'icon.svg')
    .replace(/:(\w+)/g, (_, name: string) => (name === 'device' ? sensor.id : (known[name] ?? `no-${name}`)));
}

type Route = TestApp['app']['accessTable'][number];
/** A stream stays open: whoever may see it is tested with the live screens. */
const isStream = ({ url }: Route) => /\/live(\/|$)/.test(url);
const isSafe = ({ method }: Route) => method === 'GET' || method === 'HEAD';
const routes = () => t.app.accessTable;

/** Cookies of a fresh session: one request may end its own. */
async function cookiesOf(clubId: string, role: Role): Promise<Record<string, string>> {
  const driver = role === 'driver' ? { driverId: 'd1', meetingId: 'm1' } : {};
  return (await signedIn(t, clubId, role, driver)).cookies;
}

function requestOf(route: Route, cookies: Record<string, string>, more: InjectOptions = {}): InjectOptions {
  const secret = cookies[t.app.sessionCookie];
  const form = { 'content-type': 'application/x-www-form-urlencoded' };
  return {
    method: route.method as 'GET',
    url: addressOf(route.url),
    cookies,
    headers: isSafe(route) ? {} : { ...form, ...(secret ? { 'x-csrf-token': csrfToken(secret) } : {}) },
    ...(isSafe(route) ? {} : { payload: '' }),
    ...more,
  };
}

/** Everything that the database holds, as one text a table. */
async function everything(): Promise<Record<string, string>> {
  const tables = await t.db.clubless.execute<{ name: string }>(
    sql`select table_name as name from information_schema.tables where table_schema = 'public' order by 1`,
  );
  const held: Record<string, string> = {};
  for (const { name } of tables) {
    const [row] = await t.db.clubless.execute<{ hash: string }>(
      sql`select md5(coalesce(string_agg(r::text, chr(10) order by r::text), '')) as hash from ${sql.identifier(name)} r`,
    );
    held[name] = row?.hash ?? '';
  }
  return held;
}

const roles: (Role | null)[] = [null, 'driver', 'timekeeper', 'director'];

test('the program lists its routes', () => {
  expect(routes().length).toBeGreaterThan(120);
  const accesses = new Set(routes().map(({ access }) => access));
  const all: Access[] = ['device', 'director', 'driver', 'everyone', 'own', 'setup', 'timing'];
  expect([...accesses].sort()).toEqual(all);
});

describe('function level', () => {
  let cookies: Map<Role | null, Record<string, string>>;
  let before: Record<string, string>;
  beforeEach(async () => {
    cookies = new Map([[null, {}]]);
    for (const role of ['driver', 'timekeeper', 'director'] as const) cookies.set(role, await cookiesOf('owls', role));
    before = await everything();
  });

  test('nobody uses a route that is not theirs, and trying changes nothing', async () => {
    let tried = 0;
    for (const route of routes()) {
      for (const role of roles.filter((one) => !may(one, route.access))) {
        const answer = await t.app.inject(requestOf(route, cookies.get(role) ?? {}));
        expect(answer.statusCode, `${role} ${route.method} ${route.url}`).toBe(403);
        tried += 1;
      }
    }
    expect(tried).toBeGreaterThan(200);
    expect(await everything()).toEqual(before);
  });

  test('a director of another club is nobody here', async () => {
    const stranger = await cookiesOf('others', 'director');
    const held = await everything();
    for (const route of routes().filter(({ access, url }) => url.includes(':club') && !may(null, access))) {
      const answer = await t.app.inject(requestOf(route, stranger));
      expect(answer.statusCode, `${route.method} ${route.url}`).toBe(403);
    }
    expect(await everything()).toEqual(held);
  });

  test('a session that was ended opens nothing', async () => {
    const director = await cookiesOf('owls', 'director');
    const leave = routes().find(({ url }) => url === '/c/:club/leave');
    if (!leave) throw new Error('there is no way to leave');
    expect((await t.app.inject(requestOf(leave, director))).statusCode).toBe(303);
    for (const route of routes().filter(({ access }) => !may(null, access))) {
      expect((await t.app.inject(requestOf(route, director))).statusCode, `${route.method} ${route.url}`).toBe(403);
    }
  });

  test('a device’s routes take its token and nothing else, a taken-back one no more', async () => {
    const doors = routes().filter(({ access, method }) => access === 'device' && method === 'POST');
    expect(doors.length).toBeGreaterThan(1);
    const director = await cookiesOf('owls', 'director');
    const old = await addSensor(t.db, night);
    const device = new TestSensor(t.app, old.token);
    expect((await device.beat()).statusCode).toBe(200);
    await revokeToken(t.db, { clubId: 'owls', trackId: 't1', id: old.id });
    for (const { url } of doors) {
      const send = (headers: Record<string, string>) =>
        t.app.inject({ method: 'POST', url, cookies: director, headers, payload: {} });
      expect((await send({})).statusCode, url).toBe(401);
      expect((await send({ authorization: `Bearer ${sensor.token}x` })).statusCode, url).toBe(401);
    }
    expect((await device.beat()).statusCode).toBe(401);
    expect((await device.report([{ seq: 1, lane: 1, t_us: device.nowUs() }])).statusCode).toBe(401);
    // Its token opens no page.
    const page = await t.app.inject({ url: '/c/owls/people', headers: { authorization: `Bearer ${sensor.token}` } });
    expect(page.statusCode).toBe(403);
  });
});

describe('a change comes from our own pages', () => {
  const foreign: [string, Record<string, string>][] = [
    ['another origin', { origin: 'http://evil.example' }],
    ['another port of this host', { origin: 'http://localhost:8080' }],
    ['another site', { 'sec-fetch-site': 'cross-site', origin: 'http://localhost' }],
    ['a neighbouring site', { 'sec-fetch-site': 'same-site' }],
    ['no token', {}],
    ['a hidden origin and no token', { origin: 'null' }],
    ['a wrong token', { 'x-csrf-token': 'x'.repeat(43) }],
  ];

  test.each(foreign)('%s is refused on every route', async (_, headers) => {
    const director = await cookiesOf('owls', 'director');
    const driver = await cookiesOf('owls', 'driver');
    const before = await everything();
    const unsafe = routes().filter((route) => !isSafe(route) && route.access !== 'device');
    expect(unsafe.length).toBeGreaterThan(50);
    for (const route of unsafe) {
      const form = { host: 'localhost', 'content-type': 'application/x-www-form-urlencoded' };
      const cookies = route.access === 'driver' ? driver : director;
      const answer = await t.app.inject(requestOf(route, cookies, { headers: { ...form, ...headers } }));
      expect(answer.statusCode, `${route.method} ${route.url}`).toBe(403);
    }
    expect(await everything()).toEqual(before);
  });

  test('nothing but GET, HEAD and POST is answered; devices may PUT', () => {
    const ofPages = routes().filter(({ access }) => access !== 'device');
    expect([...new Set(ofPages.map(({ method }) => method))].sort()).toEqual(['GET', 'HEAD', 'POST']);
    const ofDevices = routes().filter(({ access }) => access === 'device');
    expect([...new Set(ofDevices.map(({ method }) => method))].sort()).toEqual(['GET', 'HEAD', 'POST', 'PUT']);
  });
});

describe('looking changes nothing', () => {
  test.each(roles)('every page twice as %s', async (role) => {
    const cookies = role === null ? {} : await cookiesOf('owls', role);
    const pages = routes().filter((route) => route.method === 'GET' && may(role, route.access) && !isStream(route));
    const before = await everything();
    for (const route of [...pages, ...pages]) {
      const answer = await t.app.inject(requestOf(route, cookies));
      expect([200, 204, 302, 303, 304, 401, 404, 422], `${route.url} ${answer.statusCode}`).toContain(
        answer.statusCode,
      );
    }
    expect(await everything()).toEqual(before);
  });
});

describe('object level', () => {
  test('what is a driver’s own is refused to every other driver', async () => {
    const other = (await signedIn(t, 'owls', 'driver', { driverId: 'd2', meetingId: 'm1' })).cookies;
    const before = await everything();
    const owned = routes().filter(
      ({ access, url }) => access === 'own' && /:(driver|profile|unit|car)(\/|$)/.test(url),
    );
    expect(owned.length).toBeGreaterThan(30);
    for (const route of owned) {
      const answer = await t.app.inject(requestOf(route, other));
      expect(answer.statusCode, `${route.method} ${route.url}`).toBe(403);
    }
    expect(await everything()).toEqual(before);
  });

  test('a driver changes neither another driver’s entry nor another meeting', async () => {
    const driver = await signedIn(t, 'owls', 'driver', { driverId: 'd1', meetingId: 'm1' });
    await driver.get(night.path('me/edit'));
    const before = await everything();
    for (const act of ['withdraw', 'return', 'car']) {
      const answer = await driver.post(night.path('me/entry'), { act, id: 'e2', carId: '' });
      expect(answer.statusCode, act).toBe(404);
    }
    expect((await driver.post('/c/owls/meetings/m2/me/entry', { act: 'withdraw', id: 'e1' })).statusCode).toBe(403);
    expect((await driver.post('/c/owls/meetings/m2/me/edit', { nickname: 'Else' })).statusCode).toBe(403);
    expect(await everything()).toEqual(before);
    const own = await driver.post(night.path('me/entry'), { act: 'withdraw', id: 'e1' });
    expect(own.statusCode).toBe(303);
  });

  test('fields that no form has are passed over', async () => {
    const driver = await signedIn(t, 'owls', 'driver', { driverId: 'd1', meetingId: 'm1' });
    await driver.get(night.path('me/edit'));
    const more = { nickname: 'Driver 1b', role: 'director', public: 'true', driverId: 'd2', clubId: 'others' };
    expect((await driver.post(night.path('me/edit'), more)).statusCode).toBe(303);
    expect((await driver.get('/c/owls/people')).statusCode).toBe(403);
    const log = (await (await signedIn(t, 'owls', 'director')).get(night.path('log.jsonl'))).body;
    expect(log).toContain('"id":"d1","nickname":"Driver 1b"');
    expect(log).toContain('"id":"d2","nickname":"Driver 2"');
  });
});
