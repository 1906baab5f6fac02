import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { searchSets } from '../../server/rotation/search/sets.ts';
import type { DrawTask, SearchProgress, Seats } from '../../server/rotation/search/task.ts';

function taskOf(given: Partial<DrawTask> & { drivers: number; width: number }): DrawTask {
  const { drivers, width, ...rest } = given;
  return {
    drivers,
    lanes: Array.from({ length: width }, (_, l) => l + 1),
    done: [],
    published: [],
    runs: Array.from({ length: drivers }, () => width),
    needs: null,
    heats: Math.max(drivers, width),
    preset: 'opponents',
    seed: 1,
    steps: 2000,
    ...rest,
  };
}

function search(task: DrawTask): { seats: Seats; steps: SearchProgress[] } {
  const steps: SearchProgress[] = [];
  const running = searchSets(task);
  for (;;) {
    const step = running.next();
    if (step.done) return { seats: step.value, steps };
    steps.push(step.value);
  }
}

/** What is wrong with a draw; nothing if it is legal. */
function faults(seats: Seats, task: DrawTask): string[] {
  const width = task.lanes.length;
  const rows = Array.from({ length: task.heats }, (_, h) => [...seats.slice(h * width, (h + 1) * width)]);
  const found: string[] = [];
  if (seats.length !== task.heats * width) found.push('wrong length');
  for (const [h, row] of rows.entries()) {
    const cars = row.filter((seat) => seat !== -1);
    if (new Set(cars).size !== cars.length) found.push(`heat ${h} seats somebody twice`);
  }
  const sizes = rows.map((row) => row.filter((seat) => seat !== -1).length);
  if (Math.max(...sizes) - Math.min(...sizes) > 1) found.push('sizes of heats');
  for (let d = 0; d < task.drivers; d++) {
    const counts = task.lanes.map((_, l) => rows.filter((row) => row[l] === d).length);
    if (counts.reduce((sum, count) => sum + count, 0) !== task.runs[d]) found.push(`runs of driver ${d}`);
    if (Math.max(...counts) - Math.min(...counts) > 1) found.push(`lanes of driver ${d}`);
  }
  return found;
}

/** Any first draw: one to three runs a lane, or a number of heats with runs that differ by one; lanes with holes. */
const anyTask = fc
  .record({
    drivers: fc.integer({ min: 2, max: 18 }),
    width: fc.integer({ min: 2, max: 8 }),
    cars: fc.integer({ min: 2, max: 8 }),
    runsPerLane: fc.integer({ min: 1, max: 3 }),
    capped: fc.option(fc.integer({ min: 1, max: 30 }), { nil: null }),
    hole: fc.boolean(),
    preset: fc.constantFrom('opponents' as const, 'rest' as const, 'balanced' as const),
    seed: fc.integer({ min: 0, max: 2 ** 31 }),
    steps: fc.integer({ min: 1, max: 6000 }),
  })
  .map(({ drivers, width, cars: wanted, runsPerLane, capped, hole, preset, seed, steps }): DrawTask => {
    const cars = Math.min(wanted, width, drivers);
    const seats = capped === null ? drivers * width * runsPerLane : capped * cars;
    const heats = capped ?? Math.max(runsPerLane * Math.max(drivers, width), Math.ceil(seats / cars));
    const runs = Array.from({ length: drivers }, (_, d) => Math.floor((seats + drivers - 1 - d) / drivers));
    const lanes = Array.from({ length: width }, (_, l) => (hole && l > 0 ? l + 2 : l + 1));
    return { ...taskOf({ drivers, width }), lanes, heats, runs, preset, seed, steps };
  });

describe('a search of a first draw', () => {
  test('finds legal heats of equal size, the same ones every time, and reports what it would end with', () => {
    fc.assert(
      fc.property(anyTask, (task) => {
        const { seats, steps } = search(task);
        expect(faults(seats, task)).toEqual([]);
        expect(steps[0]?.better).not.toBeNull();
        for (const { better } of steps) if (better) expect(faults(better, task)).toEqual([]);
        expect(steps.findLast(({ better }) => better)?.better).toEqual(seats);
        expect(search(task).seats).toEqual(seats);
        const counts = steps.map(({ done }) => done);
        expect(counts).toEqual(counts.toSorted((a, b) => a - b));
        expect(counts.at(-1)).toBeLessThanOrEqual(task.steps);
      }),
      { numRuns: 50 },
    );
  });

  test('refuses a repair and heats that are too few', () => {
    const task = taskOf({ drivers: 5, width: 3 });
    expect(() => searchSets({ ...task, needs: [] }).next()).toThrow(RangeError);
    expect(() => searchSets({ ...task, heats: 4 }).next()).toThrow(RangeError);
  });

  /** Least sum over pairs of squared meetings: counts that differ by at most one. */
  function leastPairs(drivers: number, width: number, heats: number): number {
    const pairs = (drivers * (drivers - 1)) / 2;
    const meetings = (heats * width * (width - 1)) / 2;
    const q = Math.floor(meetings / pairs);
    return pairs * q * q + (meetings - q * pairs) * (2 * q + 1);
  }

  function pairSquares(seats: Seats, task: DrawTask): number {
    const width = task.lanes.length;
    let squares = 0;
    for (let a = 0; a < task.drivers; a++) {
      for (let b = 0; b < a; b++) {
        let met = 0;
        for (let h = 0; h < task.heats; h++) {
          const row = seats.subarray(h * width, (h + 1) * width);
          if (row.includes(a) && row.includes(b)) met++;
        }
        squares += met ** 2;
      }
    }
    return squares;
  }

  /**
   * Difference sets, the three biplanes of order 4 (E. F. Assmus, C. J. Salwach 1979; none is cyclic), a design with two
   * rows of places (14/7), Kirkman's fifteen schoolgirls (T. P. Kirkman 1850) and the affine planes of order 3 and 4: in
   * all of them every two drivers meet equally often, or within one.
   */
  test.each([
    [7, 3, 7, 3],
    [13, 4, 13, 4],
    [11, 5, 11, 5],
    [21, 5, 21, 5],
    [31, 6, 31, 6],
    [16, 6, 16, 6],
    [14, 7, 14, 7],
    [40, 8, 40, 8],
    [9, 8, 9, 8],
    [15, 3, 35, 7],
    [9, 3, 12, 4],
    [16, 4, 20, 5],
  ])('lets all pairs of %i drivers on %i lanes in %i heats meet equally often', (drivers, width, heats, runs) => {
    const task = taskOf({ drivers, width, heats, runs: Array.from({ length: drivers }, () => runs), steps: 150_000 });
    const { seats } = search(task);
    expect(faults(seats, task)).toEqual([]);
    expect(pairSquares(seats, task)).toBe(leastPairs(drivers, width, heats));
  });

  test('lets nobody run twice in a row where rest counts most and there are drivers enough', () => {
    fc.assert(
      fc.property(fc.integer({ min: 2, max: 6 }), fc.integer({ min: 1, max: 8 }), (width, more) => {
        const task = taskOf({ drivers: 2 * width + more, width, preset: 'rest', steps: 40_000 });
        const { seats } = search(task);
        for (let h = 1; h < task.heats; h++) {
          const before = seats.subarray((h - 1) * width, h * width);
          expect([...seats.subarray(h * width, (h + 1) * width)].filter((d) => before.includes(d))).toEqual([]);
        }
      }),
      { numRuns: 15 },
    );
  });

  test.each([2, 4, 6, 8])('draws a complete Latin square for %i drivers on as many lanes', (n) => {
    const { seats } = search(taskOf({ drivers: n, width: n }));
    const besides = new Map<string, number>();
    const takeOvers = new Set<string>();
    for (let h = 0; h < n; h++) {
      for (let l = 0; l < n; l++) {
        const a = seats[h * n + l];
        if (l + 1 < n) {
          const pair = `${a} beside ${seats[h * n + l + 1]}`;
          besides.set(pair, (besides.get(pair) ?? 0) + 1);
        }
        if (h + 1 < n) takeOvers.add(`${a} before ${seats[(h + 1) * n + l]}`);
      }
    }
    // Every ordered pair once, side by side as well as one after the other (E. J. Williams 1949).
    expect([...besides.values()]).toEqual(Array.from({ length: n * (n - 1) }, () => 1));
    expect(takeOvers.size).toBe(n * (n - 1));
  });

  test('takes two hundred drivers on sixteen lanes', () => {
    const task = taskOf({ drivers: 200, width: 16, steps: 20_000 });
    expect(faults(search(task).seats, task)).toEqual([]);
  });
});
