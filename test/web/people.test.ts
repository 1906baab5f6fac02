import { networkInterfaces } from 'node:os';
import { sql } from 'drizzle-orm';
import { afterAll, beforeAll, expect, test } from 'vitest';
import { insertSession, selectSessions } from '../../server/accounts/store.ts';
import { hashSecret, newSecret } from '../../server/accounts/tokens.ts';
import { signedIn, startTestApp, type TestApp, Visitor } from '../helpers/app.ts';
import { emptyClub, expectDirectorOnly, hostileNames, inHtml } from '../helpers/own-pages.ts';

let t: TestApp;
let director: Visitor;
const url = '/c/owls/people';
beforeAll(async () => {
  t = await startTestApp();
  director = (await emptyClub(t)).director;
});
afterAll(() => t.close());

const sessions = () => t.db.readClub('owls', selectSessions);
const inviteCount = async () => {
  const [row] = await t.db.readClub('owls', (tx) => tx.execute<{ n: number }>(sql`select count(*)::int n from invite`));
  return row?.n;
};

/** Invites somebody and gives the path of the link, as a phone that scans the code opens it. */
async function invited(role: string): Promise<{ path: string; code: string; page: string }> {
  await director.get(url);
  const answer = await director.post(`${url}/invite`, { role });
  expect(answer.statusCode).toBe(200);
  const link = /href="(https?:\/\/[^"]*enter\?code=([\w-]{43}))"/.exec(answer.body);
  if (!link?.[1] || !link[2]) throw new Error('no link on the page');
  const { pathname, search } = new URL(link[1]);
  return { path: pathname + search, code: link[2], page: answer.body };
}

/** Opens a link on a fresh device and presses its button. */
async function entered(path: string): Promise<Visitor> {
  const visitor = new Visitor(t.app);
  expect((await visitor.get(path)).body).toContain('Sign in');
  const code = new URL(path, 'http://localhost').searchParams.get('code') ?? '';
  expect((await visitor.post('/c/owls/enter', { code })).statusCode).toBe(303);
  return visitor;
}

test('only the director opens or sends the forms', async () => {
  await expectDirectorOnly(t, 'owls', { get: [url], post: [`${url}/end`, `${url}/invite`] });
  expect(await inviteCount()).toBe(0);
});

test('an invitation is a code to scan, an address and the same as text; its code is stored hashed', async () => {
  const { page, code } = await invited('timekeeper');
  expect(page).toContain('<svg');
  expect(page).toContain(`code=${code}</a>`);
  const rows = await t.db.readClub('owls', (tx) =>
    tx.execute<{ code_hash: string; left: number }>(
      sql`select code_hash, extract(epoch from expires_at - now())::float8 as left from invite`,
    ),
  );
  expect(JSON.stringify(rows)).not.toContain(code);
  expect(rows.at(-1)?.code_hash).toBe(hashSecret(code));
  expect(rows.at(-1)?.left).toBeGreaterThan(9 * 60);
  expect(rows.at(-1)?.left).toBeLessThanOrEqual(10 * 60);
});

test('links work once, run out, and give exactly the role they were made for', async () => {
  const { path, code } = await invited('timekeeper');
  const phone = await entered(path);
  expect((await phone.get(url)).statusCode).toBe(403);
  const second = new Visitor(t.app);
  await second.get(path);
  expect((await second.post('/c/owls/enter', { code })).statusCode).toBe(403);

  const late = await invited('director');
  await t.db.withClub('owls', (tx) => tx.execute(sql`update invite set expires_at = now() where used_at is null`));
  const visitor = new Visitor(t.app);
  expect((await visitor.get(late.path)).body).toContain('has run out');
  expect((await visitor.post('/c/owls/enter', { code: late.code })).statusCode).toBe(403);

  const other = await entered((await invited('director')).path);
  expect((await other.get(url)).statusCode).toBe(200);
});

test('a link of one club opens no other', async () => {
  await emptyClub(t, 'rooks');
  const { code } = await invited('director');
  const visitor = new Visitor(t.app);
  await visitor.get('/c/rooks/enter');
  expect((await visitor.post('/c/rooks/enter', { code })).statusCode).toBe(403);
});

test('no two people of one night sign alike, also after one was signed out', async () => {
  const before = (await sessions()).map((session) => session.label);
  const labels: string[] = [];
  for (let i = 0; i < 3; i += 1) {
    await entered((await invited('timekeeper')).path);
    const now = (await sessions()).find((session) => ![...before, ...labels].includes(session.label));
    if (!now) throw new Error('a label was given twice');
    expect(now.label).toMatch(/^timekeeper( \d+)?$/);
    labels.push(now.label);
    if (i === 1) await director.post(`${url}/end`, { session: now.tokenHash });
  }
  expect(new Set(labels).size).toBe(3);
  const links = await Promise.all([invited('timekeeper'), invited('timekeeper')]);
  await Promise.all(links.map(({ path }) => entered(path)));
  const all = (await sessions()).map((session) => session.label).filter((label) => label.startsWith('timekeeper '));
  expect(new Set(all).size).toBe(all.length);
});

test('the list shows who is signed in; ending one signs that device out and no other', async () => {
  const tablet = await signedIn(t, 'owls', 'director', { label: 'director 77' });
  expect((await tablet.get('/c/owls/drivers')).statusCode).toBe(200);
  const other = await signedIn(t, 'owls', 'director', { label: 'director 78' });
  const page = await director.get(url);
  expect(page.body).toContain('director 77');
  expect(page.body.match(/this device/g)).toHaveLength(1);
  const target = (await sessions()).find((session) => session.label === 'director 77');
  const answer = await director.post(`${url}/end`, { session: target?.tokenHash ?? '' });
  expect(answer.headers.location).toBe(`${url}?done=ended`);
  const after = (await director.get(`${url}?done=ended`)).body;
  expect(after).toContain('That device is signed out.');
  expect(after).not.toContain('director 77');
  expect(after).toContain('director 78');
  expect((await tablet.get('/c/owls/drivers')).statusCode).toBe(403);
  expect((await other.get('/c/owls/drivers')).statusCode).toBe(200);
});

test('a director may end the own session, and sessions of other clubs are out of reach', async () => {
  const own = await signedIn(t, 'owls', 'director', { label: 'director 9' });
  const { director: rook } = await emptyClub(t, 'herons');
  const target = (await sessions()).find((session) => session.label === 'director 9');
  await rook.get('/c/herons/people');
  await rook.post('/c/herons/people/end', { session: target?.tokenHash ?? '' });
  await own.get(url);
  expect((await own.get(url)).statusCode).toBe(200);
  expect((await own.post(`${url}/end`, { session: target?.tokenHash ?? '' })).headers.location).toBe('/c/owls');
  expect((await own.get(url)).statusCode).toBe(403);
});

test('wrong input changes nothing', async () => {
  const before = [await sessions(), await inviteCount()];
  await director.get(url);
  for (const role of ['driver', '', 'DIRECTOR', 'owner']) {
    expect((await director.post(`${url}/invite`, { role })).statusCode, role).toBe(400);
  }
  expect((await director.post(`${url}/invite`)).statusCode).toBe(400);
  for (const session of ['', 'x', "' or 1=1 --", 'x'.repeat(300)]) {
    expect((await director.post(`${url}/end`, { session })).statusCode).toBe(400);
  }
  expect((await director.post(`${url}/end`, { session: 'x'.repeat(43) })).statusCode).toBe(303);
  expect([await sessions(), await inviteCount()]).toEqual(before);
});

test('labels of drivers stand on the page as text', async () => {
  for (const label of hostileNames.allowed) await signedIn(t, 'owls', 'driver', { label });
  const { body } = await director.get(url);
  for (const label of hostileNames.allowed) expect(body).toContain(inHtml(label));
  expect(body).not.toContain('<img');
});

test('when a session was last used is noted at most once a minute', async () => {
  const visitor = await signedIn(t, 'owls', 'timekeeper', { label: 'watched' });
  const seen = async () => (await sessions()).find((session) => session.label === 'watched')?.seenAt.getTime() ?? 0;
  const first = await seen();
  await visitor.get('/c/owls/enter');
  expect(await seen()).toBe(first);
  await t.db.withClub('owls', (tx) =>
    tx.execute(sql`update session set seen_at = now() - interval '61 seconds' where label = 'watched'`),
  );
  await visitor.get('/c/owls/enter');
  expect(await seen()).toBeGreaterThanOrEqual(first);
});

test('a link starts with the address people use, if one is set', async () => {
  const page = async (env: Record<string, string>, host: string) => {
    const other = await startTestApp(env);
    try {
      await emptyClub(other);
      const secret = newSecret();
      const session = { clubId: 'owls', tokenHash: hashSecret(secret), label: 'd', driverId: null, meetingId: null };
      await other.db.withClub('owls', (tx) => insertSession(tx, { ...session, role: 'director', hours: 1 }));
      const { body } = await other.app.inject({
        method: 'POST',
        url: `${url}/invite`,
        headers: { host, origin: `http://${host}`, 'content-type': 'application/x-www-form-urlencoded' },
        cookies: { [other.app.sessionCookie]: secret },
        payload: 'role=timekeeper',
      });
      return /href="([^"]*)\/c\/owls\/enter\?code=/.exec(body)?.[1];
    } finally {
      await other.close();
    }
  };
  expect(await page({ PUBLIC_URL: 'http://race.example.org' }, 'localhost:80')).toBe('http://race.example.org');
  expect(await page({ ALLOWED_HOSTS: 'track.example' }, 'track.example:8080')).toBe('http://track.example:8080');
  // Opened on the machine itself: other devices could not open that name.
  const own = await page({ PORT: '3456' }, 'localhost:3456');
  expect(own).toMatch(/^http:\/\/[^/]+:3456$/);
  const reachable = Object.values(networkInterfaces())
    .flat()
    .some((i) => i?.family === 'IPv4' && !i.internal);
  if (reachable) expect(own).not.toContain('localhost');
});
