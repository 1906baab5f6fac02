import { execFile } from 'node:child_process';
import { mkdtemp, rm, symlink, writeFile } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import path from 'node:path';
import { monitorEventLoopDelay } from 'node:perf_hooks';
import { pathToFileURL } from 'node:url';
import { promisify } from 'node:util';
import { afterAll, beforeAll, expect, test } from 'vitest';
import { openDatabase } from '../../db/client.ts';
import { buildApp } from '../../server/app.ts';
import { fixedClock } from '../../server/clock.ts';
import { readConfig } from '../../server/config.ts';
import { selectOptionalLatestFit } from '../../server/pace/pace-store.ts';
import { randomFrom } from '../../server/shared/random.ts';
import type { Work } from '../../server/work/work.ts';
import { signedIn, type TestApp } from '../helpers/app.ts';
import { emptyClub } from '../helpers/own-pages.ts';
import { createTestDatabase } from '../helpers/postgres.ts';

/**
 * The way of a million laps through the program: read in from a table, saved, fitted in a thread of the built program and
 * shown, while the event loop goes on serving others.
 */

const root = path.resolve(import.meta.dirname, '../..');
let folder: string;
let work: Work;
let t: TestApp;

beforeAll(async () => {
  folder = await mkdtemp(path.join(tmpdir(), 'lanewise-pace-'));
  await symlink(path.join(root, 'node_modules'), path.join(folder, 'node_modules'));
  await writeFile(path.join(folder, 'package.json'), JSON.stringify({ type: 'module' }));
  const files = ['server/work/pool.ts', 'server/work/worker.ts'].map((name) => path.join(root, name));
  const compilerOptions = { noCheck: true, rootDir: root, outDir: path.join(folder, 'dist') };
  const config = { extends: path.join(root, 'tsconfig.json'), compilerOptions, include: [], files };
  await writeFile(path.join(folder, 'tsconfig.json'), JSON.stringify(config));
  await promisify(execFile)(process.execPath, [path.join(root, 'node_modules/typescript/bin/tsc'), '-p', folder]);
  const pool = (await import(
    /* @vite-ignore */ pathToFileURL(path.join(folder, 'dist/server/work/pool.js')).href
  )) as typeof import('../../server/work/pool.ts');
  work = pool.threadPool();
  const database = await createTestDatabase();
  const db = openDatabase(database.address, { max: 4 });
  const clock = fixedClock();
  const read = readConfig({ LOG_LEVEL: 'silent' });
  if ('problems' in read) throw new Error(read.problems.join('\n'));
  const app = await buildApp({ config: read.config, db, clock, work });
  await app.ready();
  const close = async () => {
    await app.close();
    await db.close();
    await database.drop();
  };
  t = { app, db, clock, close };
}, 60_000);
afterAll(async () => {
  await t.close();
  await rm(folder, { recursive: true, force: true });
});

/** A table of so many laps: 200 drivers, four heats of 21 laps a night. */
function table(laps: number): string {
  const random = randomFrom(5);
  const lines = ['night,heat,start_s,track,lane,driver,class,lap,time_s,flag'];
  for (let night = 1; lines.length <= laps; night++) {
    for (let d = 0; d < 200; d++) {
      for (let heat = 0; heat < 4; heat++) {
        const place = `${night},H${d % 50}-${heat},${heat * 1200 + (d % 50) * 20},Hall,${(heat % 4) + 1},Driver ${d},Open`;
        for (let lap = 1; lap <= 21 && lines.length <= laps; lap++) {
          const crash = random.unit() < 0.03;
          const time = Math.exp(1.8 + 0.0005 * d + 0.025 * random.normal()) + (crash ? 4 : 0);
          lines.push(`${place},${lap},${time.toFixed(3)},${crash ? 'crash' : ''}`);
        }
      }
    }
  }
  return lines.join('\n');
}

interface Step {
  readonly what: string;
  readonly seconds: number;
  readonly longestMs: number;
}

async function timed<T>(steps: Step[], what: string, run: () => Promise<T>): Promise<T> {
  const loop = monitorEventLoopDelay({ resolution: 5 });
  loop.enable();
  const from = performance.now();
  const result = await run();
  loop.disable();
  steps.push({
    what,
    seconds: Math.round((performance.now() - from) / 100) / 10,
    longestMs: Math.round(loop.max / 1e6),
  });
  return result;
}

test.each([100_000, 1_000_000])('%i laps', { timeout: 600_000 }, async (count) => {
  const { clubId, director } = await emptyClub(t, `big${count}`);
  const visitor = await signedIn(t, clubId, 'director');
  await visitor.get(`/c/${clubId}/pace/import`);
  const steps: Step[] = [];
  const form = new FormData();
  form.set('name', 'Everything');
  form.set('laps', new Blob([table(count)]), 'laps.csv');
  const read = await timed(steps, 'read in', () => visitor.uploadForm(`/c/${clubId}/pace/import`, form));
  expect(read.statusCode, read.body.slice(0, 2000)).toBe(303);
  const check = String(read.headers.location);
  expect((await timed(steps, 'looked at', () => visitor.get(check))).statusCode).toBe(200);
  expect((await timed(steps, 'saved', () => visitor.post(check))).statusCode).toBe(303);
  await timed(steps, 'asked for pace', () => director.get(`/c/${clubId}/pace`));
  await timed(steps, 'fitted', () => t.app.fits.settled(clubId));
  const fit = await t.db.readClub(clubId, (tx) => selectOptionalLatestFit(tx, clubId));
  expect(fit).toMatchObject({ laps: count });
  await timed(steps, 'shown', () => director.get(`/c/${clubId}/pace`));
  await director.post(`/c/${clubId}/pace/again`);
  await timed(steps, 'worked out again', () => t.app.fits.settled(clubId));
  const page = (await director.get(`/c/${clubId}/pace`)).body;
  const [, id] = /pace\/imports\/(\w+)\/remove/.exec(page) ?? [];
  const removed = await timed(steps, 'removed', () => director.post(`/c/${clubId}/pace/imports/${id}/remove`));
  expect(removed.statusCode).toBe(303);
  console.table(steps);
  console.log(`memory of the process ${Math.round(process.memoryUsage().rss / 2 ** 20)} MB`);
  // Others are served meanwhile, also on a busy machine.
  expect(Math.max(...steps.map(({ longestMs }) => longestMs))).toBeLessThan(1000);
});
