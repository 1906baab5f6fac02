import { chmodSync, mkdtempSync, rmSync } from 'node:fs';
import { cpus } from 'node:os';
import path from 'node:path';
import { afterAll, beforeAll, expect, test } from 'vitest';
import { type Database, openDatabase, openSql } from '../../db/client.ts';
import { type EmbeddedPostgres, startEmbedded } from '../../db/embedded.ts';
import { migrate } from '../../db/migrate.ts';
import { hashSecret } from '../../server/accounts/tokens.ts';
import { Ingest } from '../../server/timing/ingest-actions.ts';
import { type PlantedNight, plantNight } from '../helpers/planted-night.ts';
import { addSensor } from '../helpers/sensors.ts';

// Answers a second when each answer is on disk, against the quickest that the same database does for single rows in the
// same run: a figure alone says more about the machine than about the program.

const rounds = 8;
const roundMs = 400;
let embedded: EmbeddedPostgres;
let db: Database;
let night: PlantedNight;
let bareSql: ReturnType<typeof openSql>;
let bareRows = 0;
const folder = mkdtempSync('/tmp/lw-bench-');

type Figures = { perSecond: number; p50Ms: number; p99Ms: number };

beforeAll(async () => {
  chmodSync(folder, 0o755);
  embedded = await startEmbedded({ dataDir: path.join(folder, 'data'), cacheDir: path.join(folder, 'cache') });
  await migrate(embedded.options, path.resolve(import.meta.dirname, '../../db/migrations'));
  db = openDatabase(embedded.options);
  night = await plantNight(db, { lanes: 4, drivers: ['Ann', 'Bo'], heats: [{ lanes: [1, 2, 0, 0] }] });
  await night.press('h1', 'arm', 1_800_000_000_000_000);
  bareSql = openSql(embedded.options, { max: 1 });
  await bareSql`create table bare (like crossing including all)`;
});

afterAll(async () => {
  await bareSql.end({ timeout: 5 });
  await db.close();
  await embedded.stop();
  rmSync(folder, { recursive: true, force: true });
});

/** Calls `work` from so many callers at once for a while, each again as soon as it has its answer. */
async function run(callers: number, work: (caller: number) => Promise<unknown>, times: number[]): Promise<void> {
  const until = performance.now() + roundMs;
  await Promise.all(
    Array.from({ length: callers }, async (_, caller) => {
      while (performance.now() < until) {
        const began = performance.now();
        await work(caller);
        times.push(performance.now() - began);
      }
    }),
  );
}

/** One row after the other, each committed, and nothing else: no program that answers one by one can be quicker. */
function bareInsert(): Promise<unknown> {
  bareRows += 1;
  const n = bareRows;
  return bareSql`insert into bare (club_id, track_id, device_id, boot, seq, lane, t_us, at_us, fact_no)
    values ('c', 't', 'd', 'b', ${n}, 1, ${n}, ${n}, ${n}) on conflict do nothing`;
}

function figuresOf(times: number[]): Figures {
  const sorted = [...times].sort((a, b) => a - b);
  const at = (q: number) => Number((sorted[Math.floor(q * sorted.length)] ?? 0).toFixed(2));
  return { perSecond: Math.round((times.length * 1000) / (rounds * roundMs)), p50Ms: at(0.5), p99Ms: at(0.99) };
}

const line = (what: string, f: Figures) => `${what}: ${f.perSecond} answers/s, p50 ${f.p50Ms} ms, p99 ${f.p99Ms} ms`;

// The limits are what a machine busy with other things still does; a quiet one does twice as well.
test.each([
  [1, 0.05],
  [8, 0.3],
  [64, 1.5],
])('%i callers, one crossing each: at least %f times the rate of bare inserts', async (callers, leastRatio) => {
  const ingest = new Ingest(db);
  const track = { clubId: night.clubId, trackId: night.trackId };
  const sensors = await Promise.all(Array.from({ length: callers }, () => addSensor(db, night)));
  const receivedUs = 1_800_000_001_000_000;
  const seqs = sensors.map(() => 0);
  const report = async (caller: number) => {
    const { id, token } = sensors[caller] as { id: string; token: string };
    const seq = seqs[caller] ?? 0;
    seqs[caller] = seq + 1;
    const answer = await ingest.store(track, {
      reporter: { kind: 'sensor', id, tokenHash: hashSecret(token) },
      boot: 'b1',
      bits: 64,
      sentUs: seq,
      rttUs: null,
      receivedUs: receivedUs + seq,
      commandId: null,
      crossings: [{ seq, lane: 1, tUs: seq }],
    });
    expect(answer.stored).toEqual([seq]);
  };
  const bareTimes: number[] = [];
  const times: number[] = [];
  // In turns: whatever else the machine does slows both.
  for (let round = 0; round < rounds; round += 1) {
    await run(1, bareInsert, bareTimes);
    await run(callers, report, times);
  }
  const [bare, figures] = [figuresOf(bareTimes), figuresOf(times)];
  const ratio = figures.perSecond / bare.perSecond;
  console.log(
    `${cpus().length} cores; ${line('bare inserts', bare)}; ${line(`${callers} callers`, figures)}; ratio ${ratio.toFixed(2)}`,
  );
  expect(ratio).toBeGreaterThan(leastRatio);
});
