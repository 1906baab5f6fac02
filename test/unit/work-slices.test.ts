import { setImmediate } from 'node:timers/promises';
import Fastify from 'fastify';
import { expect, test } from 'vitest';
import { longWork } from '../../server/plugins/work.ts';
import { draw } from '../../server/rotation/draw.ts';
import { drawRequest } from '../../server/rotation/rotation.ts';
import { workInSlices } from '../../server/work/in-slices.ts';

const request = drawRequest({ drivers: ['Ada', 'Bo', 'Cy', 'Di'], lanes: 2, marshals: 1, seed: 3 });

test('answers what the draw answers, in copies of its own', async () => {
  const rotations: unknown[] = [];
  const work = workInSlices();
  const result = await work.run('draw', request, { onProgress: ({ better }) => better && rotations.push(better) });
  expect(result).toEqual(draw(request));
  expect(rotations.length).toBeGreaterThan(0);
  expect(rotations).not.toContain(result);
});

test('nothing is done before the caller goes on, and others come in between', async () => {
  const order: string[] = [];
  const running = workInSlices().run('draw', request, { onProgress: () => order.push('progress') });
  order.push('caller');
  await running;
  expect(order.slice(0, 2)).toEqual(['caller', 'progress']);
});

test('a signal stops it with its reason, before and while it runs', async () => {
  const work = workInSlices();
  const before = AbortSignal.abort(new Error('too late'));
  await expect(work.run('draw', request, { signal: before })).rejects.toThrow('too late');
  const stop = new AbortController();
  const onProgress = () => stop.abort(new Error('enough'));
  await expect(work.run('draw', request, { signal: stop.signal, onProgress })).rejects.toThrow('enough');
  expect(await work.run('draw', request)).toEqual(draw(request));
});

test('what the job or its listener throws rejects', async () => {
  const work = workInSlices();
  await expect(work.run('draw', null as never)).rejects.toThrow(TypeError);
  const onProgress = () => {
    throw new Error('reader is gone');
  };
  await expect(work.run('draw', request, { onProgress })).rejects.toThrow('reader is gone');
});

test('once closed it stops what runs and takes no more', async () => {
  const work = workInSlices();
  const running = expect(work.run('draw', request)).rejects.toMatchObject({ code: 'workBusy' });
  await work.close();
  await running;
  await setImmediate();
  await expect(work.run('draw', request)).rejects.toMatchObject({ code: 'workBusy' });
});

test('the program stops its long work when it ends', async () => {
  const app = Fastify();
  await app.register(longWork, { work: workInSlices() });
  await app.ready();
  const running = expect(app.work.run('draw', request)).rejects.toMatchObject({ code: 'workBusy', status: 503 });
  await app.close();
  await running;
});
