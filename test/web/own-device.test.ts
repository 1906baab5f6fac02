import { sql } from 'drizzle-orm';
import { afterAll, beforeAll, beforeEach, describe, expect, test } from 'vitest';
import { selectSessions } from '../../server/accounts/store.ts';
import { hashSecret } from '../../server/accounts/tokens.ts';
import { insertDrivers } from '../../server/drivers/store.ts';
import { selectProfiles } from '../../server/profiles/store.ts';
import { nameKey } from '../../server/shared/names.ts';
import { signedIn, startTestApp, type TestApp, Visitor } from '../helpers/app.ts';
import { expectDirectorOnly } from '../helpers/own-pages.ts';
import { type PlantedNight, plantNight } from '../helpers/planted-night.ts';
import { editorFields, profileWith } from '../helpers/profile-forms.ts';

let t: TestApp;
let n: PlantedNight;
let director: Visitor;
let clubs = 0;
const code = 'K7MPQ2';

beforeAll(async () => {
  t = await startTestApp();
});
afterAll(() => t.close());
beforeEach(async () => {
  clubs += 1;
  n = await plantNight(t.db, { slug: `own${clubs}`, lanes: 2, drivers: ['Ada', 'Bo'], heats: [{ lanes: [1, 2] }] });
  // A code is looked up among all clubs.
  await t.db.withClub(n.clubId, (tx) =>
    tx.execute(sql`update meeting set join_code = ${`${code}${clubs}`} where club_id = ${n.clubId}`),
  );
  director = await signedIn(t, n.clubId, 'director');
  await director.get(club('drivers'));
});

const club = (path: string) => `/c/${n.slug}/${path}`;
const sessions = () => t.db.readClub(n.clubId, selectSessions);
const ofDriver = async (id: string) => (await sessions()).filter(({ driverId }) => driverId === id);

/** The link for a driver's own device, as a phone that scans the code opens it. */
async function linkFor(driverId: string): Promise<{ path: string; code: string }> {
  const answer = await director.post(club(`drivers/${driverId}/device`));
  expect(answer.statusCode).toBe(200);
  const link = /href="(https?:\/\/[^"]*enter\?code=([\w-]{43}))"/.exec(answer.body);
  if (!link?.[1] || !link[2]) throw new Error('no link on the page');
  const { pathname, search } = new URL(link[1]);
  return { path: pathname + search, code: link[2] };
}

async function use(phone: Visitor, link: { path: string; code: string }) {
  await phone.get(link.path);
  return phone.post(club('enter'), { code: link.code });
}

/** A phone that is a driver's own. */
async function ownPhone(driverId: string): Promise<Visitor> {
  const phone = new Visitor(t.app);
  expect((await use(phone, await linkFor(driverId))).statusCode).toBe(303);
  return phone;
}

describe('the link', () => {
  test('is made by the director alone, on the driver’s page', async () => {
    await expectDirectorOnly(t, n.clubId, { get: [], post: [club('drivers/d1/device')] });
    expect((await director.get(club('drivers/d1/edit'))).body).toContain(`action="${club('drivers/d1/device')}"`);
    expect((await director.post(club('drivers/nobody/device'))).statusCode).toBe(404);
  });

  test('signs one browser in as the driver for half a year, and is stored hashed', async () => {
    const link = await linkFor('d1');
    const phone = new Visitor(t.app);
    expect((await phone.get(link.path)).body).toContain('Ada');
    // Opening it, as previews of links do, uses nothing up.
    expect(await ofDriver('d1')).toHaveLength(0);
    const entered = await phone.post(club('enter'), { code: link.code });
    expect(entered.headers.location).toBe(club('profiles'));
    expect(entered.cookies.find(({ name }) => name === t.app.sessionCookie)).toMatchObject({
      httpOnly: true,
      maxAge: 180 * 24 * 3600,
    });
    const [session] = await ofDriver('d1');
    expect(session).toMatchObject({ role: 'driver', label: 'Ada', driverId: 'd1', meetingId: null });
    expect((session?.expiresAt.getTime() ?? 0) - Date.now()).toBeGreaterThan(179 * 86_400_000);
    const rows = await t.db.readClub(n.clubId, (tx) => tx.execute(sql`select code_hash from invite`));
    expect(JSON.stringify(rows)).toContain(hashSecret(link.code));
    expect(JSON.stringify(rows)).not.toContain(link.code);
    // A second browser finds it used up.
    const other = new Visitor(t.app);
    expect((await use(other, link)).statusCode).toBe(403);
    expect(await ofDriver('d1')).toHaveLength(1);
  });

  test('runs out, and is worth nothing once the driver is archived, before or after its use', async () => {
    const late = await linkFor('d1');
    await t.db.withClub(n.clubId, (tx) => tx.execute(sql`update invite set expires_at = now()`));
    expect((await use(new Visitor(t.app), late)).statusCode).toBe(403);
    const waiting = await linkFor('d1');
    const phone = await ownPhone('d1');
    const list = club('drivers/d1/profiles');
    expect((await phone.get(list)).statusCode).toBe(200);
    await director.post(club('drivers/d1/archive'));
    expect((await use(new Visitor(t.app), waiting)).statusCode).toBe(403);
    expect((await phone.get(list)).statusCode).toBe(403);
    expect((await director.post(club('drivers/d1/device'))).statusCode).toBe(404);
    expect((await director.get(club('drivers/d1/edit'))).body).not.toContain('drivers/d1/device');
  });

  test('of one club opens nothing in another', async () => {
    const link = await linkFor('d1');
    await plantNight(t.db, { slug: `far${clubs}`, lanes: 2, drivers: ['Ada'], heats: [] });
    const phone = new Visitor(t.app);
    await phone.get(`/c/far${clubs}/enter?code=${link.code}`);
    expect((await phone.post(`/c/far${clubs}/enter`, { code: link.code })).statusCode).toBe(403);
    expect((await use(phone, link)).statusCode).toBe(303);
  });

  test('does not take a director’s or a timekeeper’s session away, and waits for the right device', async () => {
    for (const role of ['director', 'timekeeper'] as const) {
      const busy = await signedIn(t, n.clubId, role);
      const link = await linkFor('d1');
      const answer = await use(busy, link);
      expect(answer.statusCode).toBe(409);
      expect(answer.body).toContain('would lose that');
      expect((await busy.get(club('timekeeper'))).statusCode).toBe(302);
      expect((await use(new Visitor(t.app), link)).statusCode).toBe(303);
    }
  });
});

describe('a driver’s own device', () => {
  test('keeps the driver’s own profiles, and nobody else’s', async () => {
    const phone = await ownPhone('d1');
    await phone.get(club('drivers/d1/profiles'));
    const made = await phone.post(club('drivers/d1/profiles/new'), editorFields(profileWith({ name: 'At home' })));
    expect(made.statusCode, made.body).toBe(303);
    expect((await phone.get(club('drivers/d2/profiles'))).statusCode).toBe(403);
    const foreign = await phone.post(club('drivers/d2/profiles/new'), editorFields(profileWith()));
    expect(foreign.statusCode).toBe(403);
    const kept = (id: string) => t.db.readClub(n.clubId, (tx) => selectProfiles(tx, n.clubId, id));
    expect((await kept('d1')).map(({ setup, driverNickname }) => [setup.name, driverNickname])).toEqual([
      ['At home', 'Ada'],
    ]);
    expect(await kept('d2')).toEqual([]);
    // Nothing that a director or timekeeper may do.
    for (const path of ['people', 'drivers/d1/edit', 'meetings/m1/control']) {
      expect([403, 404], path).toContain((await phone.get(club(path))).statusCode);
    }
  });

  test('is sent to join before there is a night of its own; the night’s pages refuse politely', async () => {
    const phone = await ownPhone('d1');
    expect((await phone.get(club('me'))).headers.location).toBe(club('join'));
    for (const path of ['me', 'me/edit', 'live/me']) {
      const answer = await phone.get(n.path(path));
      expect(answer.statusCode, path).toBe(403);
      expect(answer.body, path).toContain('Join the meeting first');
    }
    const home = await phone.get(club('profiles'));
    expect(home.headers.location).toBe(club('drivers/d1/profiles'));
    expect((await phone.get(club('drivers/d1/profiles'))).body).toContain(`href="${club('profiles')}"`);
  });

  test('joins a meeting, stays signed in as long as it was, and joins the next one', async () => {
    const phone = await ownPhone('d1');
    const before = phone.cookies;
    await phone.get(club(`join?code=${code}${clubs}`));
    const joined = await phone.post(club('join'), { code: `${code}${clubs}`, driverId: 'd1' });
    expect(joined.headers.location).toBe(n.path('me'));
    expect(phone.cookies[t.app.sessionCookie]).toBe(before[t.app.sessionCookie]);
    const [session, ...more] = await ofDriver('d1');
    expect(more).toEqual([]);
    expect(session?.meetingId).toBe(n.meetingId);
    expect((session?.expiresAt.getTime() ?? 0) - Date.now()).toBeGreaterThan(179 * 86_400_000);
    expect((await phone.get(n.path('me'))).statusCode).toBe(200);
    expect((await phone.get(club('me'))).headers.location).toBe(n.path('me'));
    expect((await phone.get(club('drivers/d1/profiles'))).statusCode).toBe(200);
    const later = { id: 'm2', date: '2026-12-18', join_code: null, public_code: `later-${clubs}` };
    // Weeks later there is another meeting, which is not joined yet.
    await t.db.withClub(n.clubId, (tx) =>
      tx.execute(
        sql`insert into meeting select (jsonb_populate_record(meeting, ${JSON.stringify(later)})).* from meeting where club_id = ${n.clubId}`,
      ),
    );
    expect((await phone.get(club('me'))).headers.location).toBe(club('join'));
  });

  test('makes a token for its unit, also within a night; a phone that joined with the code does not', async () => {
    const makeToken = async (phone: Visitor) => {
      await phone.get(club('units/new'));
      const unit = String((await phone.post(club('units/new'), { name: 'Own grip' })).headers.location);
      expect(unit).toContain(club('units/'));
      return (await phone.post(`${unit}/token`)).statusCode;
    };
    const join = async (phone: Visitor, driverId: string) => {
      await phone.get(club(`join?code=${code}${clubs}`));
      const joined = await phone.post(club('join'), { code: `${code}${clubs}`, driverId });
      expect(joined.headers.location).toBe(n.path('me'));
    };
    const own = await ownPhone('d1');
    expect(await makeToken(own)).toBe(200);
    await join(own, 'd1');
    expect(await makeToken(own)).toBe(200);
    const forTheNight = new Visitor(t.app);
    await join(forTheNight, 'd2');
    expect(await makeToken(forTheNight)).toBe(403);
  });

  test('keeps its driver for itself: nobody else joins as them with the code on the wall', async () => {
    const phone = await ownPhone('d1');
    const stranger = new Visitor(t.app);
    const form = await stranger.get(club(`join?code=${code}${clubs}`));
    expect(form.body).not.toContain('value="d1"');
    expect(form.body).toContain('value="d2"');
    const joined = await stranger.post(club('join'), { code: `${code}${clubs}`, driverId: 'd1' });
    expect(joined.statusCode).toBe(422);
    expect(joined.body).toContain('This driver is signed in on a device already');
    expect((await stranger.get(club('drivers/d1/profiles'))).statusCode).toBe(403);
    expect(await ofDriver('d1')).toHaveLength(1);
    expect((await phone.get(club('drivers/d1/profiles'))).statusCode).toBe(200);
  });

  test('that somebody else joins with becomes theirs for the night', async () => {
    const phone = await ownPhone('d1');
    await phone.get(club(`join?code=${code}${clubs}`));
    const joined = await phone.post(club('join'), { code: `${code}${clubs}`, driverId: 'd2' });
    expect(joined.headers.location).toBe(n.path('me'));
    expect(await ofDriver('d1')).toEqual([]);
    expect(await ofDriver('d2')).toHaveLength(1);
    expect((await phone.get(club('drivers/d1/profiles'))).statusCode).toBe(403);
  });

  test('stands in the list of devices with its end, and can be ended there', async () => {
    const phone = await ownPhone('d1');
    const { body } = await director.get(club('people'));
    expect(body).toContain('Ada');
    expect(body).toContain('keeps their own profiles');
    expect(body).toMatch(/until [A-Z][a-z]{2} \d/);
    const [session] = await ofDriver('d1');
    await director.post(club('people/end'), { session: session?.tokenHash ?? '' });
    expect((await phone.get(club('drivers/d1/profiles'))).statusCode).toBe(403);
  });

  test('a nickname that looks like markup is shown as it is', async () => {
    const nickname = '<b>"&</b>';
    await t.db.withClub(n.clubId, (tx) =>
      insertDrivers(tx, [{ clubId: n.clubId, id: 'd9', nickname, nicknameKey: nameKey(nickname), public: true }]),
    );
    const link = await director.post(club('drivers/d9/device'));
    expect(link.body).not.toContain(nickname);
    expect(link.body).toContain('&lt;b>');
  });
});
