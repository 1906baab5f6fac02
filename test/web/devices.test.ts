import { sql } from 'drizzle-orm';
import { afterAll, beforeAll, expect, test } from 'vitest';
import { hashSecret } from '../../server/accounts/tokens.ts';
import { selectDevices } from '../../server/timing/store.ts';
import { insertTrack } from '../../server/tracks/store.ts';
import { startTestApp, type TestApp, type Visitor } from '../helpers/app.ts';
import { emptyClub, expectDirectorOnly, formFields, hostileNames, inHtml } from '../helpers/own-pages.ts';

let t: TestApp;
let director: Visitor;
const list = '/c/owls/devices';
beforeAll(async () => {
  t = await startTestApp();
  director = (await emptyClub(t)).director;
  await newTrack('owls', 't1', 'Attic');
});
afterAll(() => t.close());

const newTrack = (clubId: string, id: string, name: string) =>
  t.db.withClub(clubId, (tx) =>
    insertTrack(tx, { clubId, id, name, startMode: 'ahead', holdRollUs: 0, endRollUs: 0 }, [
      { number: 1, colour: '#cc79a7', pattern: 'solid', lengthMm: 9000, minLapUs: 2_000_000 },
    ]),
  );
const stored = () => t.db.readClub('owls', (tx) => selectDevices(tx, 'owls', 't1'));
const sensorNamed = async (name: string) => {
  const found = (await stored()).find((device) => device.name === name);
  if (!found) throw new Error(`no sensor ${name}`);
  return found;
};
const tokenOn = (page: string): string => /lw_dev_owls_[\w-]{43}/.exec(page)?.[0] ?? 'no token on the page';
const textOf = (page: string) => page.replace(/<[^>]+>/g, ' ').replace(/\s+/g, ' ');

/** Adds a sensor through its form and gives its token. */
async function newSensor(name: string, bits = '64'): Promise<string> {
  await director.get(`${list}/new`);
  const answer = await director.post(`${list}/new`, { name, track: 't1', bits });
  expect(answer.statusCode).toBe(200);
  return tokenOn(answer.body);
}

/** Reports one crossing as the sensor does, and gives the status. */
async function report(token: string, seq: number, tUs = 1_000_000, lane = 1): Promise<number> {
  const answer = await t.app.inject({
    method: 'POST',
    url: '/api/v1/crossings',
    headers: { authorization: `Bearer ${token}` },
    payload: { boot: 'b1', bits: 64, sent_us: 2_000_000, events: [{ seq, lane, t_us: tUs }] },
  });
  return answer.statusCode;
}

test('only the director opens or sends the forms', async () => {
  const one = `${list}/t1/x1`;
  await expectDirectorOnly(t, 'owls', {
    get: [list, `${list}/new`, one],
    post: [`${list}/new`, one, `${one}/token`, `${one}/revoke`],
  });
  expect(await stored()).toEqual([]);
});

test('the empty list warns before anything is wired', async () => {
  const { body } = await director.get(list);
  expect(body).toContain('No sensors yet');
  expect(body).toContain('licensed electrician');
});

test('a token is shown once, stored hashed, and opens the door for crossings', async () => {
  await director.get(`${list}/new`);
  const answer = await director.post(`${list}/new`, { name: 'Bridge', track: 't1', bits: '64' });
  expect(answer.headers['cache-control']).toBe('no-store');
  expect(answer.headers.location).toBeUndefined();
  const token = tokenOn(answer.body);
  const { id } = await sensorNamed('Bridge');
  const rows = await t.db.readClub('owls', (tx) =>
    tx.execute<{ all: string }>(sql`select device::text as all from device`),
  );
  expect(JSON.stringify(rows)).toContain(hashSecret(token));
  expect(JSON.stringify(rows)).not.toContain(token);
  for (const url of [list, `${list}/t1/${id}`, `${list}/new`]) {
    expect((await director.get(url)).body, url).not.toContain('lw_dev_');
  }
  expect(await report(token, 1)).toBe(200);
  expect(await report(`${token.slice(0, -1)}${token.endsWith('A') ? 'B' : 'A'}`, 2)).toBe(401);
});

test('the line to try it does what it says', async () => {
  for (const [bits, name] of [
    ['32', 'Small board'],
    ['64', 'Laptop'],
  ]) {
    await director.get(`${list}/new`);
    const { body } = await director.post(`${list}/new`, { name: name ?? '', track: 't1', bits: bits ?? '' });
    const text = textOf(body).replace(/&quot;/g, '"');
    const lines = [
      ...text.matchAll(
        /curl http:\/\/([^/ ]+)(\/api\/v1\/\w+) -H '(\w+): ([^']+)' -H '([\w-]+): ([^']+)' -d '([^']+)'/g,
      ),
    ];
    expect(lines).toHaveLength(2);
    for (const [, , url, header = '', value = '', type = '', json = '', payload] of lines) {
      const headers = { [header]: value, [type]: json };
      const answer = await t.app.inject({ method: 'POST', url: url ?? '', headers, payload: payload ?? '' });
      expect(answer.statusCode, answer.body).toBe(200);
    }
    const [row] = await t.db.readClub('owls', (tx) =>
      tx.execute<{ n: number }>(sql`select count(*)::int n from crossing c join device d on d.id = c.device_id
        where d.name = ${name ?? ''} and d.bits = ${Number(bits)}`),
    );
    expect(row?.n).toBe(1);
  }
});

test('wrong input changes nothing', async () => {
  const { id } = await sensorNamed('Bridge');
  await newTrack('owls', 't2', 'Old shed');
  await t.db.withClub('owls', (tx) => tx.execute(sql`update track set archived_at = now() where id = 't2'`));
  const before = await stored();
  const good = { name: 'Other', track: 't1', bits: '32' };
  await director.get(`${list}/new`);
  const wrong: Record<string, string>[] = [
    { bits: '16' },
    { track: 'nothing' },
    { track: 't2' },
    { track: "t1' or 1=1" },
    ...hostileNames.refused.map((name) => ({ name })),
  ];
  for (const change of wrong) {
    const answer = await director.post(`${list}/new`, { ...good, ...change });
    expect(answer.statusCode, JSON.stringify(change)).toBe(422);
    expect(answer.body).not.toContain('lw_dev_');
    if (!('name' in change)) expect(answer.body).toContain('value="Other"');
  }
  for (const name of hostileNames.refused) {
    expect((await director.post(`${list}/t1/${id}`, { name })).statusCode).toBe(422);
  }
  const names = (rows: typeof before) => rows.map((row) => [row.id, row.name, row.bits, row.revoked]);
  expect(names(await stored())).toEqual(names(before));
  for (const url of [`${list}/t1/nothing`, `${list}/t2/${id}`, `${list}/nothing/${id}`]) {
    expect((await director.get(url)).statusCode, url).toBe(404);
    for (const path of ['', '/token', '/revoke']) {
      expect((await director.post(url + path, { name: 'X' })).statusCode, url + path).toBe(404);
    }
  }
});

test('hostile names stand on the pages as text', async () => {
  for (const name of hostileNames.allowed) {
    const { body } = await director.post(`${list}/new`, { name, track: 't1', bits: '32' });
    const { id } = await sensorNamed(name);
    const pages = [body, (await director.get(list)).body, (await director.get(`${list}/t1/${id}`)).body];
    for (const page of pages) {
      expect(page).toContain(inHtml(name));
      expect(page).not.toContain('<img');
    }
  }
});

test('a new token ends the old one; taking it back ends both; making one lets the sensor in again', async () => {
  const first = await newSensor('Finish line');
  const { id } = await sensorNamed('Finish line');
  const address = `${list}/t1/${id}`;
  expect(await report(first, 1)).toBe(200);
  await director.get(address);
  const second = tokenOn((await director.post(`${address}/token`)).body);
  expect(second).not.toBe(first);
  expect(await report(first, 2)).toBe(401);
  expect(await report(second, 2)).toBe(200);
  expect((await director.post(`${address}/revoke`)).statusCode).toBe(303);
  expect(await report(second, 3)).toBe(401);
  expect(textOf((await director.get(address)).body)).toContain('token taken back');
  expect((await director.get(address)).body).not.toContain(`${address}/revoke`);
  const third = tokenOn((await director.post(`${address}/token`)).body);
  expect(await report(third, 3)).toBe(200);
  expect(await report(second, 4)).toBe(401);
});

test('the state follows the heartbeat: silent after 5 seconds without one', async () => {
  const token = await newSensor('Watched');
  const { id } = await sensorNamed('Watched');
  const state = async () => textOf((await director.get(`${list}/t1/${id}`)).body);
  expect(await state()).toContain('State no sign of life yet');
  const beat = { boot: 'b1', bits: 64, sent_us: 2_000_000, buffered: 7, rtt_us: null };
  const headers = { authorization: `Bearer ${token}` };
  expect((await t.app.inject({ method: 'POST', url: '/api/v1/heartbeat', headers, payload: beat })).statusCode).toBe(
    200,
  );
  expect(await state()).toMatch(/State reporting .* Crossings it still holds back 7/);
  const age = (seconds: number) =>
    t.db.withClub('owls', (tx) =>
      tx.execute(sql`update device_boot set heartbeat_at = now() - make_interval(secs => ${seconds})
        where device_id = ${id}`),
    );
  await age(3);
  expect(await state()).toContain('State reporting');
  await age(6);
  expect(await state()).toMatch(/State silent for \d s Last heartbeat \d s ago/);
  await age(3 * 3600);
  expect(await state()).toMatch(/State silent Last heartbeat 3 h ago/);
  expect(textOf((await director.get(list)).body)).toMatch(/Watched Attic silent 7 0/);
});

test('what was set aside is counted and shown', async () => {
  const token = await newSensor('Doubtful');
  const { id } = await sensorNamed('Doubtful');
  expect(await report(token, 1)).toBe(200);
  expect(await report(token, 1, 1_500_000)).toBe(200);
  expect(await report(token, 2, 1_500_000, 9)).toBe(200);
  expect(textOf((await director.get(list)).body)).toMatch(/Doubtful Attic no sign of life yet – 2/);
  const page = textOf((await director.get(`${list}/t1/${id}`)).body);
  expect(page).toMatch(/this number came before with other content \S+ \d+, \d+, [\d:]+ 1 1 b1 1500000/);
  expect(page).toMatch(/the track has no such lane \S+ \d+, \d+, [\d:]+ 9 2 b1 1500000/);
});

test('a sensor is renamed, and live screens are told', async () => {
  const { id } = await sensorNamed('Doubtful');
  const rung: string[] = [];
  const stop = await t.db.listen(
    'lanewise_track',
    (word) => rung.push(word),
    () => {},
  );
  const address = `${list}/t1/${id}`;
  const form = formFields((await director.get(address)).body, address);
  expect(form).toMatchObject({ name: 'Doubtful' });
  const answer = await director.post(address, { ...form, name: 'Trusted' });
  expect((await director.get(String(answer.headers.location))).body).toContain('Saved.');
  expect((await sensorNamed('Trusted')).id).toBe(id);
  await expect.poll(() => rung).toContain('owls/t1');
  await stop();
});

test('sensors of another club are out of reach', async () => {
  const { director: other } = await emptyClub(t, 'rooks');
  const { id } = await sensorNamed('Trusted');
  await other.get('/c/rooks/devices');
  for (const path of ['', '/token', '/revoke']) {
    expect((await other.post(`/c/rooks/devices/t1/${id}${path}`, { name: 'Mine' })).statusCode).toBe(404);
  }
  expect((await other.post('/c/rooks/devices/new', { name: 'Mine', track: 't1', bits: '32' })).statusCode).toBe(422);
  expect((await sensorNamed('Trusted')).revoked).toBe(false);
});
