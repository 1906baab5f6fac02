import { chmodSync, mkdtempSync, readdirSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import path from 'node:path';
import { eq, isNotNull, sql } from 'drizzle-orm';
import { afterAll, beforeAll, describe, expect, test, vi } from 'vitest';
import {
  calibration,
  carMotor,
  club,
  controllerUnit,
  crossing,
  device,
  driver,
  heatEvent,
  heatLane,
  lap,
  meeting,
  profile,
  profileVersion,
  share,
  standing,
  track,
} from '../../db/schema/index.ts';
import { freshSetupPath } from '../../server/clubs/actions.ts';
import { openFromEnvironment } from '../../server/main.ts';
import { readSheet } from '../../server/profiles/convert/sheet-schema.ts';
import { sample as words } from '../../views/texts/en/sample.ts';
import { startTestApp, type TestApp, Visitor } from '../helpers/app.ts';
import { runCommand } from '../helpers/command.ts';

const slug = 'the-loose-braids';
const second = 1_000_000;

describe('from the set-up page', () => {
  let t: TestApp;
  const visitor = { current: null as unknown as Visitor };
  beforeAll(async () => {
    t = await startTestApp();
    visitor.current = new Visitor(t.app);
  });
  afterAll(() => t.close());

  test('a wrong code opens nothing and says so beside the field', async () => {
    const page = await visitor.current.get('/');
    expect(page.body).toContain('action="/setup/sample"');
    const answer = await visitor.current.post('/setup/sample', { code: 'guess' });
    expect(answer.statusCode).toBe(422);
    expect(answer.body).toMatch(/<p class="field-error" id="sample-code-error">This set-up code is not right/);
    expect(answer.body).not.toContain('id="code-error"');
    expect(await t.db.clubless.select().from(club)).toEqual([]);
  });

  test('the link opens the sample club and signs its director in', { timeout: 30_000 }, async () => {
    const link = await freshSetupPath(t.db);
    const code = new URL(link, 'http://x').searchParams.get('code') ?? '';
    await visitor.current.get(link);
    const started = performance.now();
    const answer = await visitor.current.post('/setup/sample', { code, zone: 'Europe/Vienna' });
    expect(performance.now() - started).toBeLessThan(15_000);
    expect(answer.statusCode).toBe(303);
    expect(answer.headers.location).toBe(`/c/${slug}`);
    const [row] = await t.db.clubless.select().from(club);
    expect(row).toMatchObject({ slug, name: words.club, zone: 'Europe/Vienna', sample: true });
    expect((await visitor.current.get(`/c/${slug}/club`)).body).toContain('everything in it is invented');
  });

  test('its facts lie on its own two tracks, numbered without a gap, in the past; its sensors have no token', async () => {
    const rows = await t.db.clubless.select().from(track);
    expect(rows.map(({ name, imported }) => [name, imported]).sort()).toEqual(
      [
        [words.tracks.ring, false],
        [words.tracks.cellar, false],
      ].sort(),
    );
    for (const { id, factNo } of rows) {
      const events = await t.db.clubless.select().from(heatEvent).where(eq(heatEvent.trackId, id));
      const crossings = await t.db.clubless.select().from(crossing).where(eq(crossing.trackId, id));
      const facts = [...events, ...crossings].sort((a, b) => a.factNo - b.factNo);
      expect(facts.map((fact) => fact.factNo)).toEqual(Array.from({ length: factNo }, (_, i) => i + 1));
      expect(facts.length).toBeGreaterThan(400);
      // Evening after evening: what comes later on the clock comes later in the numbers of another evening.
      const arms = events.filter(({ kind }) => kind === 'arm').sort((a, b) => a.factNo - b.factNo);
      expect(arms.map(({ atUs }) => atUs)).toEqual(arms.map(({ atUs }) => atUs).sort((a, b) => a - b));
      expect(Math.max(...facts.map(({ atUs }) => atUs))).toBeLessThan(t.clock.nowUs() - 86_400 * second);
    }
    const devices = await t.db.clubless.select().from(device);
    expect(devices.map(({ kind, tokenHash }) => [kind, tokenHash])).toEqual([
      ['sensor', null],
      ['sensor', null],
    ]);
  });

  test('laps and standings of every past meeting are kept', async () => {
    const meetings = await t.db.clubless.select().from(meeting);
    expect(meetings).toHaveLength(9);
    const laps = await t.db.clubless
      .select({ id: lap.meetingId, n: sql<number>`count(*)::int` })
      .from(lap)
      .groupBy(lap.meetingId);
    expect(laps).toHaveLength(8);
    for (const { n } of laps) expect(n).toBeGreaterThan(150);
    const standings = await t.db.clubless.select().from(standing);
    const dates = new Map(meetings.map(({ id, date }) => [id, date]));
    for (const { meetingId, createdAt } of standings) {
      expect(createdAt.toISOString().slice(0, 10)).toBe(dates.get(meetingId));
    }
    expect(standings.map(({ revision, provisional }) => [revision, provisional])).toEqual(Array(9).fill([1, false]));
  });

  test('every page of the club answers', { timeout: 60_000 }, async () => {
    const meetings = await t.db.clubless.select().from(meeting);
    const home = `/c/${slug}`;
    const own = ['', '/club', '/drivers', '/cars', '/classes', '/tracks', '/devices', '/people'].map((p) => home + p);
    const nights = meetings.flatMap(({ id }) =>
      ['', '/results', '/programme', '/control', '/wall'].map((path) => `${home}/meetings/${id}${path}`),
    );
    for (const url of [...own, ...nights]) {
      expect((await visitor.current.get(url)).statusCode, url).toBe(200);
    }
    const drivers = await visitor.current.get(`${home}/drivers`);
    const links = [...drivers.body.matchAll(/href="(\/c\/[^"]*\/drivers\/[a-z0-9]{12})"/g)].map(([, url]) => url ?? '');
    expect(new Set(links).size).toBe(12);
    for (const url of links) expect((await visitor.current.get(url)).statusCode, url).toBe(200);
  });

  test('drivers keep profiles; what their versions did shows as soon as laps were worked through', {
    timeout: 60_000,
  }, async () => {
    const home = `/c/${slug}`;
    await visitor.current.get(`${home}/pace`);
    await t.app.fits.settled((await t.db.clubless.select().from(club))[0]?.id ?? '');
    const profiles = await t.db.clubless.select().from(profile);
    expect(profiles).toHaveLength(4);
    const pages = await Promise.all(profiles.map(({ id }) => visitor.current.get(`${home}/profiles/${id}`)));
    expect(pages.map(({ statusCode }) => statusCode)).toEqual([200, 200, 200, 200]);
    const bodies = pages.map(({ body }) => body).join();
    for (const verdict of ['Faster than version 1', 'Slower than version 1', 'No difference from version 2 seen']) {
      expect(bodies).toContain(verdict);
    }
    const noted = await t.db.clubless.select().from(heatLane).where(isNotNull(heatLane.profileId));
    expect(noted.length).toBeGreaterThan(25);
    const shares = await t.db.clubless.select().from(share);
    expect(shares.map(({ author }) => author).sort()).toEqual([words.drivers.walnut, null].sort());
    const versions = await t.db.clubless.select().from(profileVersion);
    expect(
      versions
        .map(({ origin }) => origin?.via)
        .filter((via) => via !== undefined)
        .sort(),
    ).toEqual(['library', 'version']);
  });

  test('has handles with a sheet each: one calibrated, one whose calibration is void, and a driver’s own', async () => {
    const units = await t.db.clubless.select().from(controllerUnit);
    const calibrations = await t.db.clubless.select().from(calibration);
    const state = units.map(({ id, name, mechanicalSetting, sheet }) => {
      const own = calibrations.find(({ unitId }) => unitId === id);
      expect(readSheet(sheet).ok, name).toBe(true);
      return [name, own?.mechanicalSetting === mechanicalSetting];
    });
    expect(Object.fromEntries(state)).toEqual({
      [words.units.first]: true,
      [words.units.second]: false,
      [words.units.own]: true,
    });
    expect(await t.db.clubless.select().from(carMotor)).toHaveLength(1);
    for (const { id } of units) expect((await visitor.current.get(`/c/${slug}/units/${id}`)).statusCode).toBe(200);
  });

  test('what is public is open to all, and hides the nickname that is not', async () => {
    const meetings = await t.db.clubless.select().from(meeting);
    const everybody = meetings.find(({ name }) => name === words.evenings.everybody);
    const answer = await new Visitor(t.app).get(`/r/${everybody?.publicCode}`);
    expect(answer.statusCode).toBe(200);
    expect(answer.body).toContain(words.drivers.sprocket);
    expect(answer.body).not.toContain(words.drivers.radish);
    const family = meetings.find(({ name }) => name === words.evenings.family);
    expect((await new Visitor(t.app).get(`/r/${family?.publicCode}`)).statusCode).toBe(404);
  });

  test('tonight is today, open for joining, and its first heat can be armed', async () => {
    const [tonight] = (await t.db.clubless.select().from(meeting)).filter(({ joinCode }) => joinCode !== null);
    expect(tonight).toMatchObject({ name: words.evenings.tonight, published: false });
    const today = new Intl.DateTimeFormat('sv', { timeZone: 'Europe/Vienna' }).format(t.clock.nowUs() / 1000);
    expect(tonight?.date).toBe(today);
    const page = `/c/${slug}/meetings/${tonight?.id}`;
    await visitor.current.get(`${page}/control`);
    const armed = await visitor.current.post(`${page}/heats/h1/press`, {
      kind: 'arm',
      seen_n: '0',
      command_id: 'first-arm',
    });
    expect(armed.statusCode).toBe(303);
    expect((await visitor.current.get(`${page}/control`)).body).toMatch(/heats\/h1\/press/);
  });

  test('it cannot be opened a second time', async () => {
    const link = await freshSetupPath(t.db);
    expect(link).toContain(`/c/${slug}/enter`);
    const answer = await visitor.current.post('/setup/sample', { code: 'guess' });
    expect(answer.statusCode).toBe(422);
    expect(await t.db.clubless.select().from(club)).toHaveLength(1);
    expect(await t.db.clubless.select().from(meeting)).toHaveLength(9);
  });
});

describe('lanewise sample', { timeout: 60_000 }, () => {
  // The command refuses a database that may lose what it stored, as that of the other tests; so it makes its own.
  let folder = '';
  beforeAll(() => {
    folder = mkdtempSync(path.join(tmpdir(), 'lanewise-sample-'));
    chmodSync(folder, 0o755); // as root the database runs as another user
    vi.stubEnv('DATABASE_URL', '');
    vi.stubEnv('LANEWISE_DATA', path.join(folder, 'data'));
    vi.stubEnv('PUBLIC_URL', 'https://races.example');
  });
  afterAll(() => {
    vi.unstubAllEnvs();
    rmSync(folder, { recursive: true, force: true });
  });

  test('wrong use touches no database', async () => {
    const { code, out, err } = await runCommand('sample', 'now');
    expect([code, out]).toEqual([2, '']);
    expect(err).toContain('lanewise sample --help');
    expect(readdirSync(folder)).toEqual([]);
  });

  test('fills an empty database, prints one document, and leaves a database with a club as it is', async () => {
    const first = await runCommand('sample', '--json');
    expect([first.code, first.err]).toEqual([0, '']);
    const made = JSON.parse(first.out) as Record<string, unknown>;
    expect(Object.keys(made)).toEqual(['club', 'drivers', 'tracks', 'meetings', 'link']);
    expect(made).toMatchObject({ club: slug, drivers: 12, tracks: 2, meetings: 9 });
    expect(made.link).toMatch(/^https:\/\/races\.example\/c\/the-loose-braids\/enter\?code=[\w-]{43}$/);
    const before = await everything();
    expect(before.map(({ rows }) => rows)).toEqual([1, 9, 12]);

    const second = await runCommand('sample');
    expect([second.code, second.out, second.err]).toEqual([1, '', `${words.command.notEmpty}\n`]);
    expect(await everything()).toEqual(before);
  });
});

/** The rows that a second club would add to, in the database that the command used. */
async function everything(): Promise<{ rows: number; text: string }[]> {
  const { db, close } = await openFromEnvironment(true);
  try {
    const lists = [
      await db.clubless.select().from(club),
      await db.clubless.select().from(meeting).orderBy(meeting.id),
      await db.clubless.select().from(driver).orderBy(driver.id),
    ];
    return lists.map((list) => ({ rows: list.length, text: JSON.stringify(list) }));
  } finally {
    await close();
  }
}
