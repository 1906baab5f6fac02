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
});
