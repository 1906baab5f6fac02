import { expect, test } from 'vitest';
import { Batcher, type BatcherOptions, BusyError } from '../../server/timing/batcher.ts';

const soon = () => new Promise((resolve) => setTimeout(resolve, 20));

function batcher(run: BatcherOptions<string, string>['run'], more: Partial<BatcherOptions<string, string>> = {}) {
  return new Batcher<string, string>({ run, batchWeight: 5, waitingWeight: 20, answerWithinMs: 1_000, ...more });
}

test('what comes in together is carried out together, and each gets its own answer', async () => {
  const batches: string[][] = [];
  const b = batcher(async (_, items) => {
    batches.push([...items]);
    return items.map((item) => item.toUpperCase());
  });
  expect(await Promise.all(['a', 'b', 'c'].map((item) => b.add('t', item, 1)))).toEqual(['A', 'B', 'C']);
  expect(batches).toEqual([['a', 'b', 'c']]);
});

test('what comes in meanwhile waits for the next batch, of the greatest weight at most', async () => {
  const batches: string[][] = [];
  const b = batcher(async (_, items) => {
    batches.push([...items]);
    await soon();
    return items;
  });
  const first = b.add('t', 'first', 1);
  await new Promise((resolve) => setImmediate(resolve));
  const rest = [b.add('t', 'a', 2), b.add('t', 'b', 2), b.add('t', 'c', 2), b.add('t', 'heavy', 9), b.add('t', 'd', 1)];
  expect(await Promise.all([first, ...rest])).toHaveLength(6);
  expect(batches).toEqual([['first'], ['a', 'b'], ['c'], ['heavy'], ['d']]);
});

test('keys do not wait for each other, batches of one key do', async () => {
  const running = new Map<string, number>();
  let together = 0;
  const b = batcher(async (key, items) => {
    running.set(key, (running.get(key) ?? 0) + 1);
    expect(running.get(key)).toBe(1);
    together = Math.max(together, running.size);
    await soon();
    running.delete(key);
    return items;
  });
  await Promise.all(['t', 'u', 'v', 't', 'u'].map((key) => b.add(key, key, 4)));
  expect(together).toBe(3);
});

test('a value that the database does not take fails its own item only', async () => {
  const b = batcher(async (_, items) => {
    if (items.includes('bad')) throw Object.assign(new Error('failed'), { cause: { code: '22003' } });
    return items;
  });
  const answers = await Promise.allSettled(['a', 'bad', 'c'].map((item) => b.add('t', item, 1)));
  expect(answers.map(({ status }) => status)).toEqual(['fulfilled', 'rejected', 'fulfilled']);
});

test('a database that is gone fails the batch, once, and the next batch is tried again', async () => {
  let tries = 0;
  const b = batcher(async (_, items) => {
    tries += 1;
    if (tries === 1) throw Object.assign(new Error('gone'), { code: 'ECONNREFUSED' });
    return items;
  });
  const answers = await Promise.allSettled(['a', 'b'].map((item) => b.add('t', item, 1)));
  expect(answers.map(({ status }) => status)).toEqual(['rejected', 'rejected']);
  expect(tries).toBe(1);
  expect(await b.add('t', 'c', 1)).toBe('c');
});

test('too much at once is refused, and room comes back', async () => {
  const b = batcher(async (_, items) => items, { waitingWeight: 3 });
  const two = [b.add('t', 'a', 2), b.add('t', 'b', 1)];
  await expect(b.add('t', 'c', 1)).rejects.toBeInstanceOf(BusyError);
  await Promise.all(two);
  expect(await b.add('t', 'c', 3)).toBe('c');
});

test('an answer that does not come in time is a refusal, and what waited behind it is not carried out', async () => {
  const batches: string[][] = [];
  let release = () => {};
  const b = batcher(
    async (_, items) => {
      batches.push([...items]);
      if (items.includes('stuck')) await new Promise<void>((resolve) => (release = resolve));
      return items;
    },
    { answerWithinMs: 30 },
  );
  const stuck = b.add('t', 'stuck', 1);
  await new Promise((resolve) => setImmediate(resolve));
  const behind = b.add('t', 'behind', 1);
  await expect(stuck).rejects.toBeInstanceOf(BusyError);
  await expect(behind).rejects.toBeInstanceOf(BusyError);
  release();
  expect(await b.add('t', 'next', 1)).toBe('next');
  expect(batches).toEqual([['stuck'], ['next']]);
});
