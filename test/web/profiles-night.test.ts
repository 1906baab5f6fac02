import { asc, eq } from 'drizzle-orm';
import { afterAll, beforeAll, describe, expect, test, vi } from 'vitest';
import { heatLane, race } from '../../db/schema/index.ts';
import { doorbell, writeKey } from '../../server/live/notify.ts';
import { addProfile, putChoice } from '../../server/profiles/actions.ts';
import type { Profile } from '../../server/profiles/model/profile.ts';
import { signedIn, startTestApp, type TestApp, type Visitor } from '../helpers/app.ts';
import { type NightPlan, type PlantedNight, plantNight } from '../helpers/planted-night.ts';
import { profileWith } from '../helpers/profile-forms.ts';

let t: TestApp;
beforeAll(async () => {
  t = await startTestApp();
});
afterAll(() => t.close());

const s = 1_000_000;
let clubs = 0;

/** A night of two drivers on two lanes, with both at their phones and a director at the desk. */
async function night(raceSet: NonNullable<NightPlan['race']> = {}) {
  clubs += 1;
  const n = await plantNight(t.db, {
    slug: `dial${clubs}`,
    lanes: 2,
    drivers: ['Brisk Otter', 'Lucky Fern'],
    heats: [{ lanes: [1, 2] }, { lanes: [2, 1] }, { lanes: [1, 2] }],
    race: { durationMs: 60_000, ...raceSet },
  });
  const director = await signedIn(t, n.clubId, 'director');
  const driver = await signedIn(t, n.clubId, 'driver', { driverId: 'd1', meetingId: 'm1', label: 'Brisk Otter' });
  await director.get(n.path('control'));
  return { n, director, driver };
}

/** A profile with one version, perhaps dialled in. */
async function kept(
  n: PlantedNight,
  set: Partial<Profile>,
  of: { driverId?: string; carId?: string | null; trackId?: string | null; lanes?: (number | null)[] } = {},
): Promise<string> {
  const { driverId = 'd1', carId = null, trackId = null, lanes = [null] } = of;
  return t.db.withClub(n.clubId, async (tx) => {
    const first = { setup: profileWith(set), note: '', author: 'director', origin: null };
    const made = await addProfile(tx, n.clubId, { driverId, carId, trackId, ...first });
    if (!('id' in made)) throw new Error(made.refused);
    for (const lane of lanes) expect(await putChoice(tx, n.clubId, made.id, { version: 1, lane })).toBe(true);
    return made.id;
  });
}

async function press(by: Visitor, n: PlantedNight, heat: string, kind: string) {
  const page = await by.get(n.path('control'));
  const seen = new RegExp(`heats/${heat}/press"[^>]*>(?:<input[^>]*>)*?<input[^>]*name="seen_n" value="(\\d+)"`).exec(
    page.body,
  );
  const answer = await by.post(n.path(`heats/${heat}/press`), { kind, seen_n: seen?.[1] ?? '0' });
  expect(answer.statusCode, `${kind} ${heat}`).toBe(303);
}

/** What was noted: entry, profile and version by lane. */
const noted = async (n: PlantedNight, heat: string) =>
  (
    await t.db.readClub(n.clubId, (tx) =>
      tx.select().from(heatLane).where(eq(heatLane.clubId, n.clubId)).orderBy(asc(heatLane.lane)),
    )
  )
    .filter(({ heatId }) => heatId === heat)
    .map(({ entryId, profileId, profileVersion }) => [entryId, profileId, profileVersion]);

describe('what a heat was driven with', () => {
  test('is noted at the start, for each lane what is in use there', async () => {
    const { n, director } = await night();
    const every = await kept(n, { name: 'Every' });
    const lane2 = await kept(n, { name: 'Two' }, { lanes: [2] });
    await press(director, n, 'h1', 'arm');
    expect(await noted(n, 'h1')).toEqual([
      ['e1', null, null],
      ['e2', null, null],
    ]);
    await press(director, n, 'h1', 'start');
    expect(await noted(n, 'h1')).toEqual([
      ['e1', every, 1],
      ['e2', null, null],
    ]);
    t.clock.advance(70 * s);
    await press(director, n, 'h1', 'confirm');
    await press(director, n, 'h2', 'arm');
    await press(director, n, 'h2', 'start');
    expect(await noted(n, 'h2')).toEqual([
      ['e2', null, null],
      ['e1', lane2, 1],
    ]);
    expect(await noted(n, 'h3')).toEqual([
      ['e1', null, null],
      ['e2', null, null],
    ]);
  });

  test('a heat run once more notes its own; the void one keeps what it had', async () => {
    const { n, director } = await night();
    const first = await kept(n, { name: 'First' });
    await press(director, n, 'h1', 'arm');
    await press(director, n, 'h1', 'start');
    t.clock.advance(10 * s);
    await director.get(n.path('control'));
    const again = await director.post(n.path('heats/h1/rerun'), { why: 'power failed' });
    expect(again.statusCode).toBe(303);
    t.clock.advance(10 * s);
    const second = await kept(n, { name: 'Second' }, { trackId: 't1' });
    await press(director, n, 'h4', 'arm');
    await press(director, n, 'h4', 'start');
    expect(await noted(n, 'h1')).toEqual([
      ['e1', first, 1],
      ['e2', null, null],
    ]);
    expect(await noted(n, 'h4')).toEqual([
      ['e1', second, 1],
      ['e2', null, null],
    ]);
  });

  test('is put right by the driver, and results stay what they are', async () => {
    const { n, director, driver } = await night();
    const used = await kept(n, { name: 'Dialled' });
    const really = await kept(n, { name: 'Really' }, { lanes: [] });
    const theirs = await kept(n, { name: 'Theirs' }, { driverId: 'd2', lanes: [] });
    await press(director, n, 'h1', 'arm');
    await press(director, n, 'h1', 'start');
    t.clock.advance(5 * s);
    const start = t.clock.nowUs();
    await n.cross([1, start + s], [1, start + 9 * s], [1, start + 18 * s]);
    t.clock.advance(70 * s);
    await press(director, n, 'h1', 'confirm');
    const results = (await director.get(n.path('results.json'))).json();
    const heats = `/c/${n.slug}/drivers/d1/profiles/heats`;
    const list = (await driver.get(heats)).body;
    expect(list).toContain('Dialled, version 1');
    expect(list).not.toContain('name="used"');
    const href = /href="([^"]*heats\?meeting=[^"]*)"/.exec(list)?.[1]?.replaceAll('&amp;', '&') ?? '';
    expect((await driver.get(href)).body).toContain('name="used"');
    const correct = (used: string, more: Record<string, string> = {}) =>
      driver.post(heats, { meeting: 'm1', heat: 'h1', lane: '1', only: '', used, ...more });
    for (const wrong of [`${theirs}.1`, `${really}.2`, 'none.1']) {
      expect((await correct(wrong)).statusCode, wrong).toBe(404);
    }
    // Neither somebody else's lane, nor a heat that is not there.
    expect((await correct(`${really}.1`, { lane: '2' })).statusCode).toBe(404);
    expect((await correct(`${really}.1`, { heat: 'h9' })).statusCode).toBe(404);
    expect((await correct('what I like')).statusCode).toBe(400);
    expect((await noted(n, 'h1'))[0]).toEqual(['e1', used, 1]);
    expect((await correct(`${really}.1`)).headers.location).toBe(`${heats}?saved=1`);
    expect((await noted(n, 'h1'))[0]).toEqual(['e1', really, 1]);
    expect((await driver.get(`/c/${n.slug}/profiles/${really}/heats`)).body).toContain('Open, heat 1, lane 1');
    expect((await driver.get(`/c/${n.slug}/profiles/${used}/heats`)).body).toContain('No heats yet');
    expect((await correct('', { only: really })).headers.location).toContain(`/profiles/${really}/heats`);
    expect((await noted(n, 'h1'))[0]).toEqual(['e1', null, null]);
    expect((await director.get(n.path('results.json'))).json()).toEqual(results);
  });

  test('nobody has to keep profiles for a heat to start', async () => {
    const { n, director } = await night();
    await press(director, n, 'h1', 'arm');
    await press(director, n, 'h1', 'start');
    expect((await noted(n, 'h1')).map(([, id]) => id)).toEqual([null, null]);
  });
});

describe('the driver’s card', () => {
  test('says what to dial in for the next heat, and on which later lane something else', async () => {
    const { n, driver } = await night();
    const quiet = (await driver.get(n.path('me'))).body;
    expect(quiet).not.toContain('Dial in for the next heat');
    expect(quiet).toContain(`/c/${n.slug}/drivers/d1/profiles`);
    const id = await kept(n, { name: 'Attic', minDrive: 115, rampUpMs: 120 });
    const two = await kept(n, { name: 'Two' }, { lanes: [2] });
    const shown = (await driver.get(n.path('me'))).body;
    expect(shown).toContain('Dial in for the next heat');
    expect(shown).toContain('Attic, version 1');
    for (const value of ['11.5', '120 ms', '2000 Hz']) expect(shown).toContain(value);
    expect(shown).toContain('Lane 2: Two, version 1');
    expect(shown).toContain(`/c/${n.slug}/profiles/${id}`);
    expect(shown).toContain(`/c/${n.slug}/profiles/${two}`);
  });

  test('is shown to the driver and the director alone', async () => {
    const { n, director, driver } = await night();
    await kept(n, { name: 'Quiet please' });
    const card = n.path('drivers/e1');
    const other = await signedIn(t, n.clubId, 'driver', { driverId: 'd2', meetingId: 'm1' });
    const timekeeper = await signedIn(t, n.clubId, 'timekeeper');
    const stranger = { get: (url: string) => t.app.inject({ url }) };
    for (const who of [director, driver]) expect((await who.get(card)).body).toContain('Quiet please');
    for (const who of [other, timekeeper, stranger]) {
      const answer = await who.get(card);
      expect(answer.statusCode).toBe(200);
      expect(answer.body).not.toContain('Quiet please');
      expect(answer.body).not.toContain('/d1/profiles');
    }
  });

  test('follows a choice that is made meanwhile', async () => {
    const { n, driver, director } = await night();
    const id = await kept(n, { name: 'Later' }, { lanes: [] });
    expect((await driver.get(n.path('me'))).body).not.toContain('Later, version 1');
    await director.get(`/c/${n.slug}/profiles/${id}`);
    const words: string[] = [];
    const stop = await t.db.listen(
      doorbell,
      (word) => words.push(word),
      () => {},
    );
    await director.post(`/c/${n.slug}/profiles/${id}/choices`, { version: '1', lane: '' });
    await vi.waitFor(() => expect(words).toContain(writeKey({ clubId: n.clubId, trackId: 't1' })));
    await stop();
    expect((await driver.get(n.path('me'))).body).toContain('Later, version 1');
    await director.post(`/c/${n.slug}/profiles/${id}/archive`);
    expect((await driver.get(n.path('me'))).body).not.toContain('Later, version 1');
  });
});

describe('the race limit', () => {
  test('is typed with the race, before and after the first start, and is shown', async () => {
    const { n, director } = await night();
    const edit = n.path('races/r1/edit');
    await director.get(edit);
    const fields = { name: 'Open', classId: 'c1', newClass: '', kind: 'time', duration: '1:00', marshals: '0' };
    const limitOf = async () =>
      (await t.db.readClub(n.clubId, (tx) => tx.select().from(race).where(eq(race.clubId, n.clubId))))[0]?.driveLimit;
    for (const driveLimit of ['9', '101', 'low', '-5']) {
      const answer = await director.post(edit, { ...fields, driveLimit });
      expect(answer.statusCode, driveLimit).toBe(422);
      expect(await limitOf()).toBeNull();
    }
    expect((await director.post(edit, { ...fields, driveLimit: '82,59' })).statusCode).toBe(303);
    expect(await limitOf()).toBe(825);
    expect((await director.get(n.path(''))).body).toMatch(/race limit 82\.5\s%/);
    expect((await director.get(n.path('programme'))).body).toMatch(/no profile gives more than 82\.5\s% drive/);
    await press(director, n, 'h1', 'arm');
    await press(director, n, 'h1', 'start');
    const started = { name: 'Open', classId: 'c1', newClass: '', marshals: '0' };
    await director.get(edit);
    expect((await director.post(edit, { ...started, driveLimit: '60' })).statusCode).toBe(303);
    expect(await limitOf()).toBe(600);
    expect((await director.post(edit, { ...started, driveLimit: '' })).statusCode).toBe(303);
    expect(await limitOf()).toBeNull();
  });

  test('holds what stands on the card and is told on the profile’s page; what is saved stays', async () => {
    // The planted night is on 13 November 2026.
    t.clock.advance(Date.UTC(2026, 10, 13, 18) * 1000 - t.clock.nowUs());
    const { n, driver } = await night({ driveLimit: 800 });
    const id = await kept(n, { name: 'Attic' });
    const held = /Race limit 80\s%: your maximum drive 100\s% is held at 80\s%\./;
    expect((await driver.get(n.path('me'))).body).toMatch(held);
    const page = await driver.get(`/c/${n.slug}/profiles/${id}`);
    expect(page.body).toMatch(held);
    expect(page.body).toContain('The limit is that of Open.');
    expect(page.body).toMatch(/name="maxDrive"[^>]*value="100"|value="100"[^>]*name="maxDrive"/);
    // A night that is over limits nothing any more.
    t.clock.advance(48 * 3600 * s);
    expect((await driver.get(`/c/${n.slug}/profiles/${id}`)).body).not.toMatch(held);
  });

  test('says nothing to a profile that keeps below it, nor to one of a car of another class', async () => {
    const { n, driver } = await night({ driveLimit: 800 });
    const low = await kept(n, { name: 'Low', maxDrive: 700 }, { carId: 'car1' });
    expect((await driver.get(n.path('me'))).body).not.toContain('is held at');
    expect((await driver.get(`/c/${n.slug}/profiles/${low}`)).body).not.toContain('is held at');
  });
});
