import fc from 'fast-check';
import { expect, test } from 'vitest';
import { NightCost } from '../../server/rotation/search/needs-cost.ts';
import { NightMoves } from '../../server/rotation/search/needs-moves.ts';
import { searchNeeds } from '../../server/rotation/search/needs-search.ts';
import { startNight } from '../../server/rotation/search/needs-start.ts';
import { costOf, figuresOf } from '../../server/rotation/search/score.ts';
import type { Shape } from '../../server/rotation/search/shape.ts';
import type { DrawTask, SearchProgress, Seats } from '../../server/rotation/search/task.ts';
import { weightsFor } from '../../server/rotation/search/weights.ts';
import { randomFrom } from '../../server/shared/random.ts';

/** A night of which no heat was run: everybody once on each lane. */
function wholeNight(drivers: number, lanes: number, given: Partial<DrawTask> = {}): DrawTask {
  return {
    drivers,
    lanes: Array.from({ length: lanes }, (_, l) => l + 1),
    done: [],
    published: [],
    runs: Array<number>(drivers).fill(lanes),
    needs: Array.from({ length: drivers }, () => Array<number>(lanes).fill(1)),
    heats: Math.max(drivers, lanes),
    preset: 'opponents',
    seed: 1,
    steps: 20_000,
    ...given,
  };
}

function follow(task: DrawTask): { progress: SearchProgress[]; end: Seats } {
  const progress: SearchProgress[] = [];
  const search = searchNeeds(task);
  for (;;) {
    const step = search.next();
    if (step.done) return { progress, end: step.value };
    progress.push(step.value);
  }
}

// The yardstick counts all heats anew and shares no code with the quick counting.
test('the cost that moves answer is the change of the cost of the whole night', () => {
  const size = fc
    .integer({ min: 2, max: 5 })
    .chain((lanes) => fc.tuple(fc.constant(lanes), fc.integer({ min: lanes, max: 14 })));
  const preset = fc.constantFrom('opponents' as const, 'rest' as const, 'balanced' as const);
  fc.assert(
    fc.property(size, preset, fc.nat(9999), ([lanes, n], which, seed) => {
      const task = wholeNight(n, lanes, { preset: which, lanes: [1, 2, 4, 5, 6].slice(0, lanes) });
      const random = randomFrom(seed);
      const { night, from } = startNight(task, random);
      const shape: Shape = {
        drivers: n,
        width: lanes,
        heats: n,
        runs: Int32Array.from(task.runs),
        seats: n * lanes,
        beside: Uint8Array.from([1, 0, 1, 1].slice(0, lanes)),
      };
      const costNow = () => costOf(figuresOf(night.seats, shape), weightsFor(which, shape));
      const moves = new NightMoves(night, new NightCost(night, task), from, random);
      let made = 0;
      for (let i = 0; i < 60; i += 1) {
        const limit = i % 2 === 0 ? 1e9 : 0;
        for (const move of [() => moves.chain(limit), () => moves.order(limit), () => moves.lanes(limit)]) {
          const before = costNow();
          const change = move();
          expect(costNow() - before).toBe(change ?? 0);
          if (change === null) continue;
          made += 1;
          expect(change).toBeLessThanOrEqual(limit);
        }
      }
      if (n > 2) expect(made).toBeGreaterThan(0);
    }),
    { numRuns: 100 },
  );
});

test('legal heats come first, later ones are better, and the same task ends the same', () => {
  const task = wholeNight(13, 4);
  const { progress, end } = follow(task);
  const shape = {
    drivers: 13,
    width: 4,
    heats: 13,
    runs: Int32Array.from(task.runs),
    seats: 52,
    beside: Uint8Array.from([1, 1, 1, 0]),
  };
  const cost = (seats: Seats) => costOf(figuresOf(seats, shape), weightsFor('opponents', shape));
  expect(progress[0]?.done).toBe(0);
  const reported = progress.flatMap(({ better }) => (better ? [better] : []));
  expect(reported.length).toBeGreaterThan(2);
  for (const [i, seats] of reported.entries()) {
    if (i > 0) expect(cost(seats)).toBeLessThan(cost(reported[i - 1] as Seats));
  }
  expect(cost(end)).toBeLessThanOrEqual(cost(reported.at(-1) as Seats));
  for (const { done } of progress) expect(done).toBeLessThanOrEqual(task.steps);
  expect(follow(task)).toEqual({ progress, end });
  expect(follow({ ...task, seed: 2 }).end).not.toEqual(end);
});

test('too few heats are refused', () => {
  expect(() => follow(wholeNight(6, 3, { heats: 5 }))).toThrow(RangeError);
});
