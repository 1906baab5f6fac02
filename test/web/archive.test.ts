import { readFileSync } from 'node:fs';
import { sql } from 'drizzle-orm';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { readLog } from '../../server/archive/log-read.ts';
import { insertClub } from '../../server/clubs/store.ts';
import { insertDrivers } from '../../server/drivers/store.ts';
import { insertHeatFact } from '../../server/heats/store.ts';
import { insertMeeting, insertRace, selectOptionalMeeting, selectRaces } from '../../server/meetings/store.ts';
import { insertHeats } from '../../server/rotation/store.ts';
import { nameKey } from '../../server/shared/names.ts';
import { takeFactNumbers } from '../../server/tracks/store.ts';
import { signedIn, startTestApp, type TestApp, Visitor } from '../helpers/app.ts';
import { plantNight } from '../helpers/planted-night.ts';

const data = new URL('../reference/data/nights/', import.meta.url);
const log = (name: string) => readFileSync(new URL(`${name}.jsonl`, data));
const club2 = 'nights/night-2-club-4-lanes-ahead-reboot';
const running = 'nights/night-8-four-drivers-4-lanes-still-running';

let t: TestApp;
let clubs = 0;
beforeAll(async () => {
  t = await startTestApp();
});
afterAll(() => t.close());

async function newClub(): Promise<{ id: string; home: string; director: Visitor }> {
  const id = `club${++clubs}`;
  await t.db.withClub(id, (tx) => insertClub(tx, { id, slug: id, name: `Club ${id}`, zone: 'UTC' }));
  const director = await signedIn(t, id, 'director');
  await director.get(`/c/${id}/import`);
  return { id, home: `/c/${id}`, director };
}

type Club = Awaited<ReturnType<typeof newClub>>;
const send = ({ director, home }: Club, bytes: Uint8Array) =>
  director.upload(`${home}/import`, 'log', { name: 'log.jsonl', bytes });

/** Opens a log and answers the address of its meeting. */
async function open(club: Club, bytes: Uint8Array): Promise<string> {
  const answer = await send(club, bytes);
  expect(answer.statusCode, answer.body).toBe(303);
  return String(answer.headers.location).replace(/\/results\?.*$/, '');
}

/** Rows of one column of the club. */
async function column(clubId: string, table: string, name: string): Promise<unknown[]> {
  const rows = await t.db.readClub(clubId, (tx) =>
    tx.execute<{ value: unknown }>(
      sql`select ${sql.identifier(name)} as value from ${sql.identifier(table)} where club_id = ${clubId} order by 1`,
    ),
  );
  return rows.map(({ value }) => value);
}

const lines = (bytes: Uint8Array) => new TextDecoder().decode(bytes).trimEnd().split('\n');
const bytesOf = (all: readonly string[]) => new TextEncoder().encode(`${all.join('\n')}\n`);

describe('taking a log in', () => {
  it('leads to the results and says what came', async () => {
    const club = await newClub();
    expect((await club.director.get(`${club.home}/import`)).body).toContain('enctype="multipart/form-data"');
    const answer = await send(club, log(club2));
    const page = await club.director.get(String(answer.headers.location));
    expect(page.body).toContain('The meeting log was read: 1 race, 6 entries, 7 heats.');
  });

  it('gives the meeting a track of its own, which nobody is offered', async () => {
    const club = await newClub();
    await open(club, log(club2));
    await open(club, log(club2));
    expect(await column(club.id, 'track', 'imported')).toEqual([true, true]);
    expect((await club.director.get(`${club.home}/tracks`)).body).not.toContain('Barn loop');
    expect((await column(club.id, 'lane', 'number')).length).toBe(8);
    expect(await column(club.id, 'meeting', 'join_code')).toEqual([null, null]);
    expect(await column(club.id, 'meeting', 'published')).toEqual([false, false]);
    expect(new Set(await column(club.id, 'meeting', 'public_code')).size).toBe(2);
  });

  it('makes drivers, classes and cars once, also when the log comes twice', async () => {
    const club = await newClub();
    await open(club, log(club2));
    const counts = async () =>
      Promise.all(['driver', 'car_class', 'car'].map(async (table) => (await column(club.id, table, 'id')).length));
    const once = await counts();
    expect(once).toEqual([6, 1, 6]);
    await open(club, log(club2));
    expect(await counts()).toEqual(once);
    expect(await column(club.id, 'device', 'kind')).toEqual(Array(2).fill('imported'));
  });

  it('takes a driver of the club for the same only where nickname and person are clear', async () => {
    const club = await newClub();
    const drivers = ['Biscuit', 'Turnip', 'Turnip', 'otter'].map((nickname, i) => ({
      clubId: club.id,
      id: `d${i}`,
      nickname,
      nicknameKey: nameKey(nickname),
    }));
    await t.db.withClub(club.id, (tx) => insertDrivers(tx, drivers));
    await open(club, log(club2));
    const names = (await column(club.id, 'driver', 'nickname')) as string[];
    expect(names.filter((name) => name === 'Biscuit')).toHaveLength(1);
    expect(names.filter((name) => name === 'Turnip')).toHaveLength(3);
    expect(names.filter((name) => name.toLowerCase() === 'otter')).toHaveLength(2);
  });

  it('keeps the laps of confirmed heats that count, and one revision of each race that has begun', async () => {
    const club = await newClub();
    await open(club, log(club2));
    const results = JSON.parse(readFileSync(new URL(`${club2}.results.json`, data), 'utf8'));
    const laps = results[0].rows.reduce((sum: number, row: { laps: number }) => sum + row.laps, 0);
    expect(await column(club.id, 'lap', 'n')).toHaveLength(laps);
    expect(await column(club.id, 'standing', 'revision')).toEqual([1]);

    const other = await newClub();
    await open(other, log(running));
    const states = JSON.parse(readFileSync(new URL(`${running}.results.json`, data), 'utf8')).flatMap(
      (race: { rows: { heats: { heat: string; state: string }[] }[] }) => race.rows.flatMap(({ heats }) => heats),
    );
    const confirmed = new Set(
      states.filter((h: { state: string }) => h.state === 'confirmed').map(({ heat }: { heat: string }) => heat),
    );
    expect(new Set(await column(other.id, 'lap', 'heat_id'))).toEqual(confirmed);
    expect(confirmed.size).toBeLessThan(new Set(states.map(({ heat }: { heat: string }) => heat)).size);
  });

  it('goes on where the meeting stopped: the next facts follow', async () => {
    const club = await newClub();
    const meeting = await open(club, log(running));
    const id = meeting.split('/').at(-1) ?? '';
    const facts = readLog(log(running)).facts;
    const [factNo] = await column(club.id, 'track', 'fact_no');
    expect(Number(factNo)).toBe((facts?.crossings.length ?? 0) + (facts?.journal.length ?? 0));
    expect(await column(club.id, 'meeting', 'id')).toEqual([id]);
  });
});

describe('a log that is not taken in', () => {
  it('leaves the club as it was and says why', async () => {
    const club = await newClub();
    const [first = '', ...rest] = lines(log(club2));
    const wrong: [Uint8Array, RegExp][] = [
      [bytesOf([first, ...rest, '{"type":"meeting"}']), new RegExp(`Line ${rest.length + 2}: `)],
      [bytesOf([first, first, ...rest]), /Line 2: the meeting is already there/],
      [bytesOf([first.replace(/"date":"[^"]*"/, '"date":"0000-02-29"'), ...rest]), /before year 1/],
      [bytesOf([first, ...rest].map((line) => line.replaceAll('Biscuit', 'B'.repeat(600)))), /longer than can be kept/],
      [new TextEncoder().encode('hello'), /Line 1: /],
    ];
    for (const [bytes, sentence] of wrong) {
      const answer = await send(club, bytes);
      expect(answer.statusCode).toBe(422);
      expect(answer.body).toMatch(sentence);
      expect(answer.body).toContain('Nothing was taken from');
      for (const table of ['meeting', 'track', 'driver', 'car']) expect(await column(club.id, table, 'id')).toEqual([]);
    }
  });

  it('asks for the file when there is none', async () => {
    const club = await newClub();
    for (const bytes of [new Uint8Array()]) {
      const answer = await send(club, bytes);
      expect([answer.statusCode, answer.body.includes('Choose the file first.')]).toEqual([422, true]);
    }
    const plain = await club.director.post(`${club.home}/import`, { log: 'text' });
    expect(plain.statusCode).toBe(422);
  });

  it('is refused before it is read when it is too large', async () => {
    const club = await newClub();
    const answer = await send(club, new Uint8Array(16 * 1024 * 1024 + 1));
    expect(answer.statusCode).toBe(413);
    expect(answer.body).toContain('larger than 16 MB');
  });

  it('is refused when the form is broken, or comes from another page', async () => {
    const club = await newClub();
    const secret = { 'content-type': 'multipart/form-data; boundary=b' };
    const body = '--b\r\nContent-Disposition: form-data; name="log"; filename="a"\r\n\r\nx';
    const url = `${club.home}/import`;
    const cookies = club.director.cookies;
    const broken = await t.app.inject({
      method: 'POST',
      url,
      headers: { ...secret, 'sec-fetch-site': 'same-origin' },
      cookies,
      payload: body,
    });
    expect([broken.statusCode, broken.body.includes('did not arrive in one piece')]).toEqual([400, true]);
    const whole = `${body}\r\n--b--`;
    const foreign = await t.app.inject({
      method: 'POST',
      url,
      headers: { ...secret, origin: 'http://evil.example' },
      cookies,
      payload: whole,
    });
    expect(foreign.statusCode).toBe(403);
    const silent = await t.app.inject({ method: 'POST', url, headers: secret, cookies, payload: whole });
    expect(silent.statusCode).toBe(403);
  });
});

describe('who may', () => {
  it('take a log in: the director; take one away: the director and timekeepers', async () => {
    const club = await newClub();
    const meeting = await open(club, log(club2));
    const timekeeper = await signedIn(t, club.id, 'timekeeper');
    const guest = new Visitor(t.app);
    expect((await timekeeper.get(`${meeting}/log.jsonl`)).statusCode).toBe(200);
    expect((await guest.get(`${meeting}/log.jsonl`)).statusCode).toBe(403);
    for (const visitor of [timekeeper, guest]) {
      expect((await visitor.get(`${club.home}/import`)).statusCode).toBe(403);
      expect((await send({ ...club, director: visitor }, log(club2))).statusCode).toBe(403);
    }
    expect(await column(club.id, 'meeting', 'id')).toHaveLength(1);
    const results = (visitor: Visitor) => visitor.get(`${meeting}/results`);
    expect((await results(timekeeper)).body).toContain('log.jsonl');
    expect((await results(guest)).body).not.toContain('log.jsonl');
  });
});

describe('taking a log away', () => {
  it('is a download with the meeting’s name and day, each line a JSON object, what is named before what names it', async () => {
    const club = await newClub();
    const meeting = await open(club, log(club2));
    const { headers, rawPayload } = await club.director.get(`${meeting}/log.jsonl`);
    expect(headers['content-type']).toBe('application/x-ndjson; charset=utf-8');
    expect(headers['content-disposition']).toBe(
      `attachment; filename="thursday-at-the-barn-2026-03-19.jsonl"; filename*=UTF-8''Thursday%20at%20the%20barn%202026-03-19.jsonl`,
    );
    const types = lines(rawPayload).map((line) => JSON.parse(line).type as string);
    const order = types.filter((type, i) => i === 0 || types[i - 1] !== type);
    expect(order.slice(0, 8)).toEqual(['meeting', 'track', 'driver', 'race', 'entry', 'heat', 'device', 'crossing']);
  });

  it('of a night on a track that other meetings use gives the same results in another club', async () => {
    const s = 1_000_000;
    const night = await plantNight(t.db, {
      slug: 'moths',
      lanes: 2,
      drivers: ['Pebble', 'Moss'],
      race: { durationMs: 20_000 },
      heats: [{ lanes: [1, 2] }, { lanes: [2, 1], delaysMs: [500, 0] }],
    });
    const run = async (heat: string, from: number) => {
      await night.press(heat, 'arm', from);
      await night.press(heat, 'start', from + 10 * s);
      for (const lane of [1, 2]) {
        await night.cross(...[11, 16, 21, 26].map((at) => [lane, from + at * s + lane * 1000] as const));
      }
      await night.press(heat, 'confirm', from + 40 * s);
    };
    await run('h1', 100 * s);
    // Another evening on the same track, in between: its crossings are none of this meeting's.
    const { clubId, trackId } = night;
    await t.db.withClub(clubId, async (tx) => {
      const row = await selectOptionalMeeting(tx, clubId, night.meetingId);
      if (!row) throw new Error('no meeting');
      await insertMeeting(tx, { ...row, id: 'm2', joinCode: null, publicCode: 'other' });
      for (const { className: _, ...race } of await selectRaces(tx, clubId, row.id)) {
        await insertRace(tx, { ...race, meetingId: 'm2' });
      }
      const heat = { id: 'h1', raceId: 'r1', ordinal: 1, reruns: null, lanes: [], marshals: [] };
      await insertHeats(tx, clubId, 'm2', [heat]);
      const factNo = (await takeFactNumbers(tx, clubId, trackId, 1)) ?? 0;
      const place = { clubId, trackId, meetingId: 'm2', heatId: 'h1', factNo };
      await insertHeatFact(tx, place, { n: 1, kind: 'arm', atUs: 200 * s, by: 'director' });
    });
    await night.cross([1, 201 * s], [2, 202 * s]);
    await run('h2', 300 * s);
    await night.rule('h2', { kind: 'part', target: { lane: 1 }, value: 42 }, 350 * s);

    const director = await signedIn(t, night.clubId, 'director');
    const json = (await director.get(night.path('results.json'))).body;
    expect(JSON.parse(json)[0].rows[0].heats).toHaveLength(2);
    const written = (await director.get(night.path('log.jsonl'))).rawPayload;
    expect(lines(written).filter((line) => line.includes('"type":"crossing"'))).toHaveLength(16);
    const club = await newClub();
    const meeting = await open(club, written);
    expect((await club.director.get(`${meeting}/results.json`)).body).toBe(json);
  });
});
