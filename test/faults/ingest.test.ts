import { type ChildProcess, spawn } from 'node:child_process';
import { chmodSync, mkdtempSync, readFileSync, realpathSync, rmSync } from 'node:fs';
import { type AddressInfo, createServer } from 'node:net';
import path from 'node:path';
import { setTimeout as sleep } from 'node:timers/promises';
import { sql } from 'drizzle-orm';
import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import { type Database, openDatabase } from '../../db/client.ts';
import { type EmbeddedPostgres, findEmbedded, startEmbedded } from '../../db/embedded.ts';
import { migrate } from '../../db/migrate.ts';
import { buildApp } from '../../server/app.ts';
import { monotonicUs, systemClock } from '../../server/clock.ts';
import { readConfig } from '../../server/config.ts';
import { assertDurable } from '../../server/timing/durability-actions.ts';
import { AckHistory, LoadedSensor } from '../helpers/ack-history.ts';
import { type PlantedNight, plantNight } from '../helpers/planted-night.ts';
import { addSensor, storedCrossings } from '../helpers/sensors.ts';

// Sensors report while the database or the whole program is killed. What must come of it is our own promise: a crossing
// that was answered is there, once, and nothing is there that was not sent. `kill -9` leaves what was written to the
// system's memory, so this says nothing about a power cut.

const repository = path.resolve(import.meta.dirname, '../..');
const top = realpathSync(mkdtempSync('/tmp/lw-ingest-'));
chmodSync(top, 0o755);
afterAll(() => rmSync(top, { recursive: true, force: true }));

const night = { lanes: 4, drivers: ['Ann', 'Bo'], heats: [{ lanes: [1, 2, 0, 0] }] };

/** Checks what one sensor was told against what is stored of it: ok ⊆ stored ⊆ ok ∪ unknown. */
async function check(db: Database, planted: PlantedNight, id: string, history: AckHistory): Promise<number> {
  const rows = (await storedCrossings(db, planted.clubId)).filter(({ deviceId }) => deviceId === id);
  const stored = new Set(rows.map(({ seq }) => seq));
  expect(stored.size, 'no number twice').toBe(rows.length);
  expect(
    [...history.acked].filter((seq) => !stored.has(seq)),
    'answered but not stored',
  ).toEqual([]);
  expect(
    [...stored].filter((seq) => !history.sent.has(seq)),
    'stored but never sent',
  ).toEqual([]);
  return history.acked.size;
}

/** Answers per second of all sensors since an instant, to see that work goes on. */
const answersSince = (loads: readonly LoadedSensor[], atMs: number) =>
  loads.reduce((sum, { history }) => sum + history.ackedAtMs.filter((ms) => ms > atMs).length, 0);

async function untilAnswered(loads: readonly LoadedSensor[], sinceMs: number, withinMs: number): Promise<number> {
  while (answersSince(loads, sinceMs) < loads.length) {
    if (performance.now() - sinceMs > withinMs) throw new Error('no sensor was answered in time');
    await sleep(10);
  }
  return performance.now() - sinceMs;
}

describe('the database', () => {
  let embedded: EmbeddedPostgres;
  let db: Database;
  let app: Awaited<ReturnType<typeof buildApp>>;
  let url: string;
  let planted: PlantedNight;
  const dataDir = path.join(top, 'database');

  beforeAll(async () => {
    embedded = await startEmbedded({ dataDir, cacheDir: path.join(top, 'cache') });
    await migrate(embedded.options, path.join(repository, 'db/migrations'));
    db = openDatabase(embedded.options);
    const read = readConfig({ LOG_LEVEL: 'silent' });
    if ('problems' in read) throw new Error(read.problems.join());
    const clock = systemClock({ monotonicUs: monotonicUs(), wallUs: 1_800_000_000_000_000 });
    app = await buildApp({ config: read.config, db, clock });
    await app.listen({ port: 0, host: '127.0.0.1' });
    url = `http://127.0.0.1:${(app.server.address() as AddressInfo).port}`;
    planted = await plantNight(db, night);
  });

  afterAll(async () => {
    await app.close();
    await db.close();
    await embedded.stop();
  });

  const postmaster = () =>
    Number(readFileSync(path.join(dataDir, 'postgres/data/postmaster.pid'), 'utf8').split('\n')[0]);

  test('kill -9 again and again under load: nothing that was answered is lost, nothing doubled, and work goes on', async () => {
    const sensors = await Promise.all([1, 2, 3, 4].map(() => addSensor(db, planted)));
    const loads = sensors.map(({ token }, i) => new LoadedSensor(url, token, 15, i + 1));
    const recoveries: number[] = [];
    for (let kill = 0; kill < 5; kill += 1) {
      await sleep(700 + 300 * kill);
      process.kill(postmaster(), 'SIGKILL');
      const killedMs = performance.now();
      await sleep(50);
      recoveries.push(await untilAnswered(loads, killedMs + 50, 10_000));
    }
    await sleep(500);
    const histories = await Promise.all(loads.map((load) => load.stop()));
    let acked = 0;
    for (const [i, { id }] of sensors.entries()) acked += await check(db, planted, id, histories[i] as AckHistory);
    expect(acked).toBeGreaterThan(500);
    // Meanwhile sensors are told to come back, or get no answer at all; never anything that makes them give up.
    const statuses = new Set(histories.flatMap((h) => [...h.statuses.keys()]));
    expect([...statuses].filter((status) => ![0, 200, 503].includes(status))).toEqual([]);
    expect(statuses).toContain(503);
    console.log(`answered ${acked}, lost 0, back after ${recoveries.map((ms) => Math.round(ms)).join(', ')} ms`);
  }, 60_000);

  test('a third of the answers lost on their way: hundreds of reports sent again, nothing doubled', async () => {
    const seeds = [31, 32, 33, 34, 35, 36, 37, 38];
    const sensors = await Promise.all(seeds.map(() => addSensor(db, planted)));
    const loads = sensors.map(({ token }, i) => new LoadedSensor(url, token, 15, seeds[i] as number, 0.33));
    const retries = () => loads.reduce((sum, { history }) => sum + (history.statuses.get(0) ?? 0), 0);
    while (retries() < 250) await sleep(50);
    const histories = await Promise.all(loads.map((load) => load.stop()));
    let acked = 0;
    for (const [i, { id }] of sensors.entries()) acked += await check(db, planted, id, histories[i] as AckHistory);
    console.log(`sent again ${retries()}, answered ${acked}, doubled 0`);
  }, 120_000);

  test('a single session killed in the middle of its work loses nothing', async () => {
    const sensors = await Promise.all([1, 2].map(() => addSensor(db, planted)));
    const loads = sensors.map(({ token }, i) => new LoadedSensor(url, token, 10, 10 + i, 0.2));
    for (let i = 0; i < 12; i += 1) {
      await sleep(150);
      await db.clubless
        .execute(
          sql`select pg_terminate_backend(pid) from pg_stat_activity
            where application_name = 'lanewise' and pid <> pg_backend_pid() and state <> 'idle'`,
        )
        .catch(() => {});
    }
    await untilAnswered(loads, performance.now(), 10_000);
    const histories = await Promise.all(loads.map((load) => load.stop()));
    for (const [i, { id }] of sensors.entries()) {
      expect(await check(db, planted, id, histories[i] as AckHistory)).toBeGreaterThan(0);
    }
  }, 60_000);
});

test('a database that flushes passes, one that does not is refused by name', async () => {
  const open = async (settings: Record<string, string>) => {
    const dataDir = mkdtempSync(path.join(top, 'durable-'));
    chmodSync(dataDir, 0o755);
    const embedded = await startEmbedded({ dataDir, cacheDir: path.join(top, 'cache'), settings });
    const db = openDatabase(embedded.options, { max: 1 });
    try {
      await assertDurable(db);
    } finally {
      await db.close();
      await embedded.stop();
    }
  };
  await open({});
  for (const name of ['fsync', 'synchronous_commit', 'full_page_writes']) {
    await expect(open({ [name]: 'off' })).rejects.toMatchObject({ settings: [`${name} = off`] });
  }
}, 60_000);

describe('kill -9 of the program', () => {
  test('again and again under load: nothing that was answered is lost, nothing doubled', async () => {
    const dataDir = path.join(top, 'program');
    const port = await freePort();
    const url = `http://127.0.0.1:${port}`;
    let child = await start(dataDir, port);
    const first = await openRunning(dataDir);
    const planted = await plantNight(first, night);
    const sensors = await Promise.all([1, 2, 3].map(() => addSensor(first, planted)));
    await first.close();
    const loads = sensors.map(({ token }, i) => new LoadedSensor(url, token, 15, 20 + i, 0.1));
    try {
      for (let kill = 0; kill < 3; kill += 1) {
        await sleep(900);
        child.kill('SIGKILL');
        child = await start(dataDir, port);
        await untilAnswered(loads, performance.now(), 10_000);
      }
      const histories = await Promise.all(loads.map((load) => load.stop()));
      const db = await openRunning(dataDir);
      let acked = 0;
      for (const [i, { id }] of sensors.entries()) acked += await check(db, planted, id, histories[i] as AckHistory);
      await db.close();
      expect(acked).toBeGreaterThan(100);
    } finally {
      await Promise.all(loads.map((load) => load.stop()));
      await ended(child);
    }
  }, 240_000);

  async function start(dataDir: string, port: number): Promise<ChildProcess> {
    const env = { ...process.env, LANEWISE_DATA: dataDir, PORT: String(port), HOST: '127.0.0.1', DATABASE_URL: '' };
    const child = spawn(process.execPath, [path.join(repository, 'server/cli/lanewise.mjs'), 'start'], {
      env,
      stdio: ['ignore', 'ignore', 'pipe'],
    });
    let errors = '';
    child.stderr?.on('data', (chunk) => (errors += chunk));
    for (let tries = 0; tries < 1_200; tries += 1) {
      if (child.exitCode !== null) throw new Error(`the program ended: ${errors}`);
      const health = await fetch(`http://127.0.0.1:${port}/health`).catch(() => null);
      if (health?.ok) return child;
      await sleep(50);
    }
    throw new Error(`the program did not start: ${errors}`);
  }

  async function openRunning(dataDir: string): Promise<Database> {
    const address = await findEmbedded(dataDir);
    if (!address) throw new Error('the database of the program does not run');
    return openDatabase(address, { max: 2 });
  }

  async function ended(child: ChildProcess): Promise<void> {
    const exited = new Promise((resolve) => child.once('exit', resolve));
    if (child.exitCode !== null || child.signalCode !== null) return;
    child.kill('SIGTERM');
    await exited;
  }

  function freePort(): Promise<number> {
    return new Promise((resolve) => {
      const server = createServer();
      server.listen(0, '127.0.0.1', () => {
        const { port } = server.address() as AddressInfo;
        server.close(() => resolve(port));
      });
    });
  }
});
