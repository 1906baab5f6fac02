import { beforeAll, describe, expect, it, vi } from 'vitest';
import { draw } from '../../server/rotation/draw.ts';
import { assignMarshals } from '../../server/rotation/marshals.ts';
import { repairTask } from '../../server/rotation/repair.ts';
import { type DrawRequest, drawRequest, type Seat } from '../../server/rotation/rotation.ts';
import { searchNeeds } from '../../server/rotation/search/needs-search.ts';
import type { DrawTask, Seats } from '../../server/rotation/search/task.ts';
import { randomFrom } from '../../server/shared/random.ts';
import { exactSolver, IntegerProgram, sum } from '../helpers/integer-program.ts';

/**
 * What the searches find against what an exact solver proves: HiGHS 1.15.3 (highs.dev), which knows nothing of
 * rotations. It is given the rules as rows of a 0-1 program.
 */
vi.setConfig({ testTimeout: 120_000 });

let solver: Awaited<ReturnType<typeof exactSolver>>;
beforeAll(async () => {
  solver = await exactSolver();
});

const range = (n: number) => Array.from({ length: n }, (_, i) => i);

/** Meetings of drivers i < j in heats of driver numbers. */
function meetings(drivers: number, heats: readonly (readonly number[])[]): number[][] {
  const met = range(drivers).map(() => range(drivers).map(() => 0));
  for (const row of heats) {
    for (const i of row) {
      for (const j of row) if (i >= 0 && i < j) (met[i] as number[])[j] = (met[i]?.[j] as number) + 1;
    }
  }
  return met;
}
const squares = (met: readonly (readonly number[])[]) => met.flat().reduce((total, m) => total + m * m, 0);

/**
 * Asks for the least sum of squared meetings: y = 1 where both drive in a heat, and the m-th meeting of two drivers costs
 * m^2 - (m-1)^2. Constant: the squares of meetings before.
 */
function addMeetings(
  program: IntegerProgram,
  drivers: number,
  heats: number,
  runs: (heat: number, driver: number) => string[],
  before: readonly (readonly number[])[],
): void {
  for (const i of range(drivers)) {
    for (let j = i + 1; j < drivers; j += 1) {
      if (runs(0, i).length === 0 || runs(0, j).length === 0) continue;
      for (const h of range(heats)) {
        program.add([...sum([...runs(h, i), ...runs(h, j)]), [-1, `y_${h}_${i}_${j}`]], '<=', 1);
      }
      const met = range(heats).map((h) => `y_${h}_${i}_${j}`);
      const steps = range(heats).map((h) => `u_${h}_${i}_${j}`);
      program.add([...sum(steps), ...sum(met, -1)], '>=', 0);
      program.minimise(steps.map((step, k) => [2 * ((before[i]?.[j] as number) + k) + 1, step] as const));
    }
  }
}

/** The rules of a repair in so many heats: runs owed, lanes, nobody twice, equal sizes. */
function repairProgram(task: DrawTask, heats: number): IntegerProgram {
  const program = new IntegerProgram();
  const needs = task.needs ?? [];
  const all = task.runs.reduce((total, runs) => total + runs, 0);
  const owed = (d: number) => range(task.lanes.length).filter((l) => (needs[d]?.[l] as number) > 0);
  const runs = (h: number, d: number) => owed(d).map((l) => `x_${h}_${d}_${l}`);
  for (const d of range(task.drivers)) {
    for (const l of owed(d)) {
      program.add(sum(range(heats).map((h) => `x_${h}_${d}_${l}`)), '=', needs[d]?.[l] as number);
    }
  }
  for (const h of range(heats)) {
    for (const d of range(task.drivers)) program.add(sum(runs(h, d)), '<=', 1);
    for (const l of range(task.lanes.length)) {
      const onLane = range(task.drivers).filter((d) => owed(d).includes(l));
      program.add(sum(onLane.map((d) => `x_${h}_${d}_${l}`)), '<=', 1);
    }
    const cars = sum(range(task.drivers).flatMap((d) => runs(h, d)));
    program.add(cars, '>=', Math.floor(all / heats));
    program.add(cars, '<=', Math.ceil(all / heats));
  }
  addMeetings(program, task.drivers, heats, runs, meetings(task.drivers, task.done));
  return program;
}

function found(task: DrawTask): number[][] {
  const search = searchNeeds(task);
  for (;;) {
    const step = search.next();
    if (step.done) {
      const seats: Seats = step.value;
      return range(task.heats).map((h) => [...seats.slice(h * task.lanes.length, (h + 1) * task.lanes.length)]);
    }
  }
}

/** A small night of which some heats ran; then people leave or come. */
function smallRepair(seed: number): DrawRequest {
  const random = randomFrom(seed);
  const from = (least: number, most: number) => least + Math.floor(random.unit() * (most - least + 1));
  const lanes = from(2, 3);
  const n = from(4, 6);
  const drivers = range(n).map((i) => i + 1);
  const first = draw(drawRequest({ drivers, lanes, preset: 'opponents', budgetMs: 5, seed }));
  const ran = from(Math.max(1, n - 4), n - 1);
  const late = from(0, 2);
  return drawRequest({
    drivers,
    lanes,
    done: first.heats.slice(0, ran),
    leave: late === 0 || from(0, 1) === 1 ? [from(1, n)] : [],
    join: range(late).map((i) => ({ driver: `late ${i + 1}`, runsPerLane: 1 })),
    preset: 'opponents',
    budgetMs: 200,
    seed,
  });
}

describe('repairs (exact optimum: HiGHS)', () => {
  it.each(range(16).map((i) => i + 1))('small night %i: as few heats and as even meetings as can be', (seed) => {
    const answer = repairTask(smallRepair(seed));
    if (!answer.ok) throw new Error(answer.problem.code);
    const { task } = answer.repair;
    expect(task.heats).toBeGreaterThan(1);
    const before = squares(meetings(task.drivers, task.done));
    const best = solver.least(repairProgram(task, task.heats));
    expect(best).not.toBe(null);
    expect(squares(meetings(task.drivers, [...task.done, ...found(task)]))).toBe(before + (best as number));
    expect(solver.least(repairProgram(task, task.heats - 1))).toBe(null);
  });
});

describe('first draws without back-to-backs (exact optimum: HiGHS)', () => {
  // Lanes need no rows: every such choice of heats can be given lanes so that each driver has each lane once (D. König).
  it.each([
    [6, 3, 54],
    [7, 3, 33],
    [8, 3, 30],
  ])('%i drivers on %i lanes: meetings as even as full rest allows', (n, lanes, least) => {
    const program = new IntegerProgram();
    const run = (h: number, d: number) => `x_${h}_${d}`;
    for (const h of range(n)) {
      program.add(sum(range(n).map((d) => run(h, d))), '=', lanes);
      if (h > 0) for (const d of range(n)) program.add(sum([run(h - 1, d), run(h, d)]), '<=', 1);
    }
    for (const d of range(n)) program.add(sum(range(n).map((h) => run(h, d))), '=', lanes);
    // Drivers can be numbered so that the first two heats hold the first of them.
    for (const d of range(2 * lanes)) program.add([[1, run(d < lanes ? 0 : 1, d)]], '=', 1);
    addMeetings(program, n, n, (h, d) => [run(h, d)], meetings(n, []));
    expect(solver.least(program)).toBe(least);
    const { certificate } = draw(drawRequest({ drivers: range(n).map((i) => i + 1), lanes, preset: 'rest' }));
    if (n === 2 * lanes) {
      // Full rest would split the field into two groups that never meet; `rest` does not do that.
      expect(certificate.opponents.sumSquares).toBeLessThan(least);
      return;
    }
    expect(certificate.backToBack.count).toBe(0);
    expect(certificate.opponents.sumSquares).toBe(least);
  });
});

/** A night of any heats: sets of drivers. */
function anyHeats(seed: number): { drivers: number[]; heats: Seat[][]; wanted: number } {
  const random = randomFrom(seed);
  const n = 5 + Math.floor(random.unit() * 4);
  const drivers = range(n).map((i) => i + 1);
  const heats = range(6 + Math.floor(random.unit() * 4)).map(() => drivers.filter(() => random.unit() < 0.45));
  return { drivers, heats, wanted: 1 + Math.floor(random.unit() * 3) };
}

describe('marshals (exact optimum: HiGHS)', () => {
  it.each(range(20).map((i) => i + 1))(
    'night %i: counts as even, then duties before own runs as few, as can be',
    (seed) => {
      const { drivers, heats, wanted } = anyHeats(seed);
      const sitting = (h: number) => drivers.filter((driver) => !heats[h]?.includes(driver));
      const duty = (h: number, driver: number) => `z_${h}_${driver}`;
      const runsNext = (h: number, driver: number) => heats[h + 1]?.includes(driver) === true;
      const program = new IntegerProgram();
      for (const h of heats.keys()) {
        program.add(sum(sitting(h).map((driver) => duty(h, driver))), '=', Math.min(wanted, sitting(h).length));
      }
      // One step less even costs more than all duties before own runs together.
      const uneven = heats.length * wanted + 1;
      for (const driver of drivers) {
        const own = [...heats.keys()].filter((h) => sitting(h).includes(driver));
        const steps = own.map((h) => `u_${h}_${driver}`);
        program.add(
          [
            ...sum(steps),
            ...sum(
              own.map((h) => duty(h, driver)),
              -1,
            ),
          ],
          '=',
          0,
        );
        program.minimise(steps.map((step, k) => [uneven * (2 * k + 1), step] as const));
        program.minimise(sum(own.filter((h) => runsNext(h, driver)).map((h) => duty(h, driver))));
      }
      const { marshals } = assignMarshals({ drivers, marshals: wanted, exempt: [] }, heats);
      const counts = drivers.map((driver) => marshals.flat().filter((one) => one === driver).length);
      const tiring = marshals.flatMap((row, h) => row.filter((driver) => runsNext(h, driver as number))).length;
      const squared = counts.reduce((total, count) => total + count * count, 0);
      expect(uneven * squared + tiring).toBe(solver.least(program));
    },
  );
});
