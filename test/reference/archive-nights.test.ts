import { mkdtempSync, readdirSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { sql } from 'drizzle-orm';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { readLog } from '../../server/archive/log-read.ts';
import { insertClub } from '../../server/clubs/store.ts';
import { countMeeting } from '../../server/results/count.ts';
import { resultsJson } from '../../server/results/results-json.ts';
import { signedIn, startTestApp, type TestApp, type Visitor } from '../helpers/app.ts';
import { runCommand } from '../helpers/command.ts';

// Source of all expected results: two separate implementations of the counting rules (data/nights/README.md). Here the
// logs go through the program's doors: upload, database, results and log of the meeting.

const data = new URL('./data/nights/', import.meta.url);
const path = (name: string) => fileURLToPath(new URL(name, data));

/** The logs of a folder by name, without their ending. */
function logs(folder: string): string[] {
  const names = readdirSync(path(folder)).filter((file) => file.endsWith('.jsonl'));
  return names.map((file) => `${folder}/${file.replace('.jsonl', '')}`);
}

const taken = [...logs('cases'), ...logs('nights')];
const refused = logs('bad');

let t: TestApp;
let clubs = 0;
const folder = mkdtempSync(join(tmpdir(), 'lanewise-'));

/** A director of a club of its own, which has nothing yet. */
async function emptyClub(): Promise<{ director: Visitor; home: string; clubId: string }> {
  const n = ++clubs;
  const clubId = `club${n}`;
  await t.db.withClub(clubId, (tx) => insertClub(tx, { id: clubId, slug: `c${n}`, name: `Club ${n}`, zone: 'UTC' }));
  return { director: await signedIn(t, clubId, 'director'), home: `/c/c${n}`, clubId };
}

const openLog = (director: Visitor, home: string, bytes: Uint8Array) =>
  director.upload(`${home}/import`, 'log', { name: 'night.jsonl', bytes });

/** Opens a log and answers the address of its meeting. */
async function imported(director: Visitor, home: string, bytes: Uint8Array): Promise<string> {
  await director.get(`${home}/import`);
  const answer = await openLog(director, home, bytes);
  expect(answer.statusCode, answer.body).toBe(303);
  return String(answer.headers.location).replace(/\/results\?.*$/, '');
}

/** Number of rows of everything that a meeting log could bring into a club. */
async function rowsOf(clubId: string): Promise<number> {
  const tables = ['track', 'meeting', 'driver', 'car_class', 'car', 'race', 'entry', 'heat', 'device', 'crossing'];
  const counts = [...tables, 'heat_event', 'lap', 'standing'].map(
    (name) => sql`select count(*) as n from ${sql.identifier(name)} where club_id = ${clubId}`,
  );
  const all = sql`select sum(n)::int as n from (${sql.join(counts, sql` union all `)}) as counts`;
  const [row] = await t.db.readClub(clubId, (tx) => tx.execute<{ n: number }>(all));
  return row?.n ?? -1;
}

beforeAll(async () => {
  t = await startTestApp();
});
afterAll(async () => {
  rmSync(folder, { recursive: true });
  await t.close();
});

describe('a log that is taken', () => {
  it.each(taken)('gives the results of %s byte for byte, and so does the log written from it', async (name) => {
    const expected = readFileSync(path(`${name}.results.json`), 'utf8');
    const { director, home } = await emptyClub();
    const meeting = await imported(director, home, readFileSync(path(`${name}.jsonl`)));
    expect((await director.get(`${meeting}/results.json`)).body).toBe(expected);
    const written = await director.get(`${meeting}/log.jsonl`);
    const { facts } = readLog(written.rawPayload);
    expect(facts && resultsJson(countMeeting(facts).races)).toBe(expected);
  });

  it.each(logs('nights'))('goes from club to club without a change of results: %s', async (name) => {
    const expected = readFileSync(path(`${name}.results.json`), 'utf8');
    const one = await emptyClub();
    const first = await imported(one.director, one.home, readFileSync(path(`${name}.jsonl`)));
    const written = (await one.director.get(`${first}/log.jsonl`)).rawPayload;
    const other = await emptyClub();
    const second = await imported(other.director, other.home, written);
    expect((await other.director.get(`${second}/results.json`)).body).toBe(expected);

    const file = join(folder, 'log.jsonl');
    writeFileSync(file, (await other.director.get(`${second}/log.jsonl`)).rawPayload);
    expect(await runCommand('count', file, '--json')).toEqual({ code: 0, out: expected, err: '' });
  });

  it('stands beside others: all nights in one club give their results', async () => {
    const { director, home } = await emptyClub();
    const meetings = new Map<string, string>();
    for (const name of logs('nights')) {
      meetings.set(name, await imported(director, home, readFileSync(path(`${name}.jsonl`))));
    }
    for (const [name, meeting] of meetings) {
      const expected = readFileSync(path(`${name}.results.json`), 'utf8');
      expect((await director.get(`${meeting}/results.json`)).body, name).toBe(expected);
    }
  });
});

describe('a log that is refused', () => {
  let club: Awaited<ReturnType<typeof emptyClub>>;
  beforeAll(async () => {
    club = await emptyClub();
  });

  it.each(refused)('%s: the sentence names the line and nothing is taken in', async (name) => {
    const { line } = JSON.parse(readFileSync(path(`${name}.refused.json`), 'utf8'));
    const { director, home, clubId } = club;
    await director.get(`${home}/import`);
    const answer = await openLog(director, home, readFileSync(path(`${name}.jsonl`)));
    expect(answer.statusCode).toBe(422);
    expect(answer.body).toMatch(new RegExp(`Line ${line}: .+\\. Nothing was taken from the log\\.`));
    expect(await rowsOf(clubId)).toBe(0);
  });

  it('counts rows: a log that is taken leaves some', async () => {
    const { director, home, clubId } = await emptyClub();
    await imported(director, home, readFileSync(path(`${taken[0]}.jsonl`)));
    expect(await rowsOf(clubId)).toBeGreaterThan(10);
  });
});
