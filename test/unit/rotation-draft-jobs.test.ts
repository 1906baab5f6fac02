import { expect, test } from 'vitest';
import { DraftJobs, type RunDraw } from '../../server/rotation/draft-jobs.ts';
import { draw, drawing } from '../../server/rotation/draw.ts';
import { drawRequest } from '../../server/rotation/rotation.ts';
import { workInSlices } from '../../server/work/in-slices.ts';

const drivers = Array.from({ length: 9 }, (_, i) => `d${i + 1}`);
const request = (seed: number, budgetMs = 0) => drawRequest({ drivers, lanes: 4, preset: 'opponents', seed, budgetMs });
const wait = { endMs: 0, firstMs: 0 };
const pause = (ms: number) => new Promise((resolve) => setTimeout(resolve, ms));

/** Draws that go on until they are stopped, and which of them were. */
function endless(): { run: RunDraw; stopped: number[] } {
  const stopped: number[] = [];
  const run: RunDraw = (asked, { signal, onProgress }) =>
    new Promise((_, reject) => {
      const first = drawing(asked).next();
      if (!first.done) onProgress({ ...first.value, done: 5, of: 100 });
      signal.addEventListener('abort', () => {
        stopped.push(asked.seed);
        reject(signal.reason);
      });
    });
  return { run, stopped };
}

test('pages that ask for the same draw attach to one', async () => {
  const work = workInSlices();
  let begun = 0;
  const jobs = new DraftJobs((asked, options) => {
    begun += 1;
    return work.run('draw', asked, options);
  });
  const [first, second] = await Promise.all([jobs.look(request(1), true, wait), jobs.look(request(1), false, wait)]);
  expect(first.rotation).not.toBeNull();
  expect(second.rotation).toEqual(first.rotation);
  expect(await jobs.whole(request(1))).toEqual(draw(request(1)));
  expect(await jobs.look(request(1), true, wait)).toMatchObject({ finished: true });
  expect(begun).toBe(1);
  jobs.close();
});

test('first heats are there before anything is run', async () => {
  const jobs = new DraftJobs(() => new Promise(() => {}));
  const first = drawing(request(1, 60_000)).next();
  const state = await jobs.look(request(1, 60_000), true, wait);
  expect(state).toMatchObject({ finished: false, done: 0 });
  expect(state.rotation).toEqual(first.done ? null : first.value.better);
  jobs.close();
});

test('a rule needs no search', async () => {
  const jobs = new DraftJobs(() => Promise.reject(new Error('nothing is to be run')));
  const step = { ...request(1), preset: 'step' as const };
  expect(await jobs.look(step, false, wait)).toMatchObject({ finished: true, rotation: draw(step) });
  expect(await jobs.whole(step)).toEqual(draw(step));
  jobs.close();
});

test('a draw that was polled ends soon after nobody asks any more; one that is looked at goes on', async () => {
  const { run, stopped } = endless();
  const jobs = new DraftJobs(run, { polledMs: 40, lookedMs: 60_000 });
  await jobs.look(request(1), true, wait);
  await jobs.look(request(2), false, wait);
  for (let i = 0; i < 5; i += 1) {
    await pause(20);
    await jobs.look(request(1), true, wait);
  }
  expect(stopped).toEqual([]);
  await pause(200);
  expect(stopped).toEqual([1]);
  expect(jobs.running).toBe(1);
  jobs.close();
  expect(stopped).toEqual([1, 2]);
});

test('so many draws at once, the longest unseen goes first', async () => {
  const { run, stopped } = endless();
  const jobs = new DraftJobs(run, { most: 3 });
  for (const seed of [1, 2, 3]) await jobs.look(request(seed), true, wait);
  await jobs.look(request(1), true, wait);
  await jobs.look(request(4), true, wait);
  expect(stopped).toEqual([2]);
  jobs.close();
});

test('a stop where a page was shown ends the search and gives what was shown', async () => {
  const { run, stopped } = endless();
  const jobs = new DraftJobs(run);
  await jobs.look(request(1), true, wait);
  const shown = await jobs.look(request(1), true, wait);
  expect(shown).toMatchObject({ done: 5, finished: false });
  const stop = await jobs.look({ ...request(1), steps: 5 }, false, wait);
  expect(stop).toMatchObject({ done: 5, finished: true, rotation: shown.rotation });
  expect(stopped).toEqual([1]);
  expect(await jobs.whole({ ...request(1), steps: 5 })).toEqual(shown.rotation);
  jobs.close();
});

test('a draw that fails says so to everybody who waits, and is begun anew', async () => {
  let fails = true;
  const jobs = new DraftJobs(async (asked) => {
    if (fails) throw new Error('no room');
    return draw(asked);
  });
  await expect(jobs.whole(request(1))).rejects.toThrow('no room');
  fails = false;
  expect(await jobs.whole(request(1))).toEqual(draw(request(1)));
  jobs.close();
});
