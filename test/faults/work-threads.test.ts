import { execFile } from 'node:child_process';
import { existsSync } from 'node:fs';
import { mkdtemp, rm, symlink, writeFile } from 'node:fs/promises';
import { getPriority, tmpdir } from 'node:os';
import path from 'node:path';
import { monitorEventLoopDelay } from 'node:perf_hooks';
import { setTimeout as sleep } from 'node:timers/promises';
import { pathToFileURL } from 'node:url';
import { promisify } from 'node:util';
import { afterAll, afterEach, beforeAll, expect, test } from 'vitest';
import { drawRequest } from '../../server/rotation/rotation.ts';
import { workInSlices } from '../../server/work/in-slices.ts';
import type { JobName } from '../../server/work/jobs.ts';
import type { PoolOptions } from '../../server/work/pool.ts';
import type { Work } from '../../server/work/work.ts';
import type { TestJobName, TestProgress, ThreadFacts } from '../helpers/thread-jobs.ts';

/**
 * Real threads run built code, so this builds what they need. Results are compared on real draws; where the
 * length or the failure of a job matters, threads run test/helpers/thread-jobs.ts.
 */

const root = path.resolve(import.meta.dirname, '../..');
let folder: string;
let pool: typeof import('../../server/work/pool.ts');
const opened: Work[] = [];

beforeAll(async () => {
  folder = await mkdtemp(path.join(tmpdir(), 'lanewise-work-'));
  await symlink(path.join(root, 'node_modules'), path.join(folder, 'node_modules'));
  await writeFile(path.join(folder, 'package.json'), JSON.stringify({ type: 'module' }));
  const modules = ['server/work/pool.ts', 'server/work/worker.ts', 'test/helpers/thread-jobs.ts'];
  const files = modules.map((name) => path.join(root, name));
  // Types are checked by "npm run check".
  const compilerOptions = { noCheck: true, rootDir: root, outDir: path.join(folder, 'dist') };
  const config = { extends: path.join(root, 'tsconfig.json'), compilerOptions, include: [], files };
  await writeFile(path.join(folder, 'tsconfig.json'), JSON.stringify(config));
  await promisify(execFile)(process.execPath, [path.join(root, 'node_modules/typescript/bin/tsc'), '-p', folder]);
  pool = await import(/* @vite-ignore */ pathToFileURL(path.join(folder, 'dist/server/work/pool.js')).href);
});

afterEach(async () => {
  for (const work of opened.splice(0)) await work.close();
});
afterAll(() => rm(folder, { recursive: true, force: true }));

type TestRun = (
  name: TestJobName,
  input?: unknown,
  options?: { signal?: AbortSignal; onProgress?: (progress: TestProgress) => void },
) => Promise<unknown>;

function realThreads(options: PoolOptions = {}): Work {
  const work = pool.threadPool(options);
  opened.push(work);
  return work;
}

/** The jobs of the test's own thread module. */
function testThreads(options: PoolOptions = {}): { run: TestRun; close(): Promise<void> } {
  const worker = pathToFileURL(path.join(folder, 'dist/test/helpers/thread-jobs.js'));
  const work = realThreads({ worker, ...options });
  const run: TestRun = (name, ...rest) => work.run(name as JobName, ...(rest as [never, never]));
  return { run, close: () => work.close() };
}

/** Stops once the job has begun. */
function stopAtFirstProgress() {
  const stop = new AbortController();
  const stoppedAtMs: number[] = [];
  const onProgress = () => {
    stoppedAtMs.push(performance.now());
    stop.abort(new Error('enough'));
  };
  return { signal: stop.signal, onProgress, stoppedAtMs };
}

const draws: Record<string, Parameters<typeof drawRequest>[0]> = {
  'the queue': { drivers: ['Ada', 'Bo', 'Cy', 'Di', 'Ed'], lanes: 3, marshals: 1, seed: 5, preset: 'step' },
  'a search': { drivers: Array.from({ length: 22 }, (_, i) => i + 1), lanes: 5, marshals: 2, preset: 'opponents' },
};
for (const [name, given] of Object.entries(draws)) {
  test(`a draw in a thread is the draw of the event loop, with progress: ${name}`, async () => {
    const request = drawRequest({ budgetMs: 200, ...given });
    const reports: Record<'threads' | 'slices', number[]> = { threads: [], slices: [] };
    const hear = (who: keyof typeof reports) => ({
      onProgress: ({ done, of }: { done: number; of: number }) => reports[who].push(done / of),
    });
    const inThread = await realThreads().run('draw', request, hear('threads'));
    expect(inThread).toEqual(await workInSlices().run('draw', request, hear('slices')));
    expect(inThread.heats.length).toBe(inThread.fewestHeats);
    for (const who of ['threads', 'slices'] as const) {
      expect(reports[who].length, who).toBeGreaterThan(0);
      expect(reports[who]).toEqual([...reports[who]].sort((a, b) => a - b));
      expect(Math.max(...reports[who])).toBeLessThanOrEqual(1);
    }
  });
}

test('progress comes at the speed of people, the last one too, and none after the result', async () => {
  const heard: TestProgress[] = [];
  const result = await testThreads().run('count', 500, { onProgress: (progress) => heard.push(progress) });
  const atResult = heard.length;
  expect(result).toBe(500);
  expect(heard[0]).toEqual({ n: 1 });
  expect(heard.at(-1)?.n).toBe(500);
  // Half a second of work, a report every tenth of a second; on a busy machine the work takes longer.
  expect(heard.length).toBeGreaterThanOrEqual(5);
  expect(heard.length).toBeLessThan(250);
  // Reports stand for those they swallowed: nothing is lost.
  expect(heard.reduce((sum, { merged = 0 }) => sum + 1 + merged, 0)).toBe(500);
  await sleep(50);
  expect(heard.length).toBe(atResult);
});

test('a job is stopped in the middle of a step, and the next one runs', async () => {
  const work = testThreads({ threads: 1 });
  const { stoppedAtMs, ...stop } = stopAtFirstProgress();
  const hangs = work.run('hang', null, stop);
  const waits = work.run('count', 3);
  await expect(hangs).rejects.toThrow('enough');
  const stoppedAfterMs = performance.now() - (stoppedAtMs[0] ?? 0);
  console.log(`stopped after ${stoppedAfterMs.toFixed(1)} ms`);
  expect(stoppedAfterMs).toBeLessThan(1000);
  expect(await waits).toBe(3);
  expect(await work.run('count', 2)).toBe(2);
});

test('a job that waits is taken back, and one that was stopped before it began never runs', async () => {
  const work = testThreads({ threads: 1 });
  const stop = new AbortController();
  const first = work.run('count', 50);
  const heard: unknown[] = [];
  const second = work.run('count', 1, { signal: stop.signal, onProgress: (progress) => heard.push(progress) });
  stop.abort(new Error('no longer wanted'));
  await expect(second).rejects.toThrow('no longer wanted');
  await expect(work.run('count', 1, { signal: stop.signal })).rejects.toThrow('no longer wanted');
  expect(await first).toBe(50);
  expect(heard).toEqual([]);
});

test('too many jobs are refused, and those that wait are served', async () => {
  const work = testThreads({ threads: 1, mostWaiting: 2 });
  const signals = Array.from({ length: 3 }, () => ({ signal: new AbortController().signal }));
  const served = signals.map((options, i) => work.run('count', i + 1, options));
  await expect(work.run('count', 9)).rejects.toMatchObject({ code: 'workBusy', status: 503 });
  expect(await Promise.all(served)).toEqual([1, 2, 3]);
  expect(await work.run('count', 4)).toBe(4);
});

test('what a job throws rejects, whatever it is, and the next job runs', async () => {
  const work = testThreads({ threads: 1 });
  await expect(work.run('fail')).rejects.toThrow(new RangeError('out of lanes'));
  const wrong = () => {
    throw new Error('reader is gone');
  };
  await expect(work.run('count', 1000, { onProgress: wrong })).rejects.toThrow('reader is gone');
  await expect(work.run('count', () => {})).rejects.toThrow('could not be cloned');
  await expect(work.run('nothing of this name' as TestJobName)).rejects.toThrow(TypeError);
  expect(await work.run('count', 2)).toBe(2);
});

test('a job that runs out of memory ends its thread, not the program', async () => {
  const work = testThreads({ threads: 1 });
  await expect(work.run('hoard')).rejects.toMatchObject({ code: 'ERR_WORKER_OUT_OF_MEMORY' });
  expect(await work.run('count', 2)).toBe(2);
});

test('a thread that cannot start is an error of its job', async () => {
  const work = testThreads({ threads: 1, worker: pathToFileURL(path.join(folder, 'dist/nowhere.js')) });
  await expect(work.run('count', 1)).rejects.toThrow('nowhere.js');
});

test('threads see nothing of the environment', async () => {
  expect(process.env.PATH).toBeDefined();
  expect(await testThreads().run('thread')).toMatchObject({ environment: {} });
});

test('a thread is used again, and ends when it has nothing to do', async () => {
  const threadOf = async (work: ReturnType<typeof testThreads>) => ((await work.run('thread')) as ThreadFacts).threadId;
  const lasting = testThreads({ threads: 1 });
  expect(await threadOf(lasting)).toBe(await threadOf(lasting));
  const brief = testThreads({ threads: 1, idleMs: 20 });
  const first = await threadOf(brief);
  await sleep(500);
  expect(await threadOf(brief)).not.toBe(first);
});

const canStandBack = process.platform === 'linux' && existsSync(path.join(root, 'node_modules/@napi-rs/nice'));
test.runIf(canStandBack)('threads stand back behind the event loop (on Linux, by an optional package)', async () => {
  const before = getPriority();
  const { priority } = (await testThreads().run('thread')) as ThreadFacts;
  expect(priority).toBe(Math.min(19, before + 10));
  expect(getPriority()).toBe(before);
});

test('closing stops what runs and what waits, and nothing runs any more', async () => {
  const work = testThreads({ threads: 1 });
  const stopped = { code: 'workBusy' };
  let begin = () => {};
  const begun = new Promise<void>((resolve) => {
    begin = resolve;
  });
  const runs = expect(work.run('hang', null, { onProgress: () => begin() })).rejects.toMatchObject(stopped);
  const waits = expect(work.run('count', 1)).rejects.toMatchObject(stopped);
  await begun;
  await work.close();
  await Promise.all([runs, waits]);
  await expect(work.run('count', 1)).rejects.toMatchObject(stopped);
});

test('the event loop stays free while a thread works for two seconds', async () => {
  const work = testThreads({ threads: 1 });
  await work.run('count', 1);
  const delay = monitorEventLoopDelay({ resolution: 5 });
  delay.enable();
  expect(await work.run('count', 2000)).toBe(2000);
  delay.disable();
  const ms = (nanoseconds: number) => (nanoseconds / 1e6).toFixed(1);
  console.log(
    `event loop delay: p50 ${ms(delay.percentile(50))}, p99 ${ms(delay.percentile(99))}, max ${ms(delay.max)} ms`,
  );
  expect(delay.percentile(99) / 1e6).toBeLessThan(100);
});
