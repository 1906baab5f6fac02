import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { draw } from '../../server/rotation/draw.ts';
import { type Repair, repairedHeats, repairTask } from '../../server/rotation/repair.ts';
import { type DrawRequest, type Driver, drawRequest, type Seat } from '../../server/rotation/rotation.ts';
import { searchNeeds } from '../../server/rotation/search/needs-search.ts';

const names = (n: number, prefix = 'd') => Array.from({ length: n }, (_, i) => `${prefix}${i + 1}`);

/** A night that has begun: some heats of a first rotation ran, then people left, came, or a lane broke. */
const repairs: fc.Arbitrary<DrawRequest> = fc
  .record({
    n: fc.integer({ min: 2, max: 14 }),
    lanes: fc.integer({ min: 1, max: 6 }),
    runsPerLane: fc.integer({ min: 1, max: 2 }),
    carsPerHeat: fc.option(fc.integer({ min: 1, max: 6 })),
    ran: fc.nat(16),
    announced: fc.nat(3),
    leaving: fc.nat(2),
    joining: fc.nat(2),
    lateRuns: fc.integer({ min: 1, max: 2 }),
    broken: fc.option(fc.integer({ min: 1, max: 6 })),
    seed: fc.nat(1000),
    preset: fc.constantFrom('opponents', 'rest', 'balanced'),
  })
  .map((one) => {
    const drivers = names(one.n);
    const plan = { drivers, lanes: one.lanes, runsPerLane: one.runsPerLane, carsPerHeat: one.carsPerHeat };
    const { heats } = draw(drawRequest(plan));
    const lanesOut = one.broken !== null && one.broken <= one.lanes && one.lanes > 1 ? [one.broken] : [];
    return drawRequest({
      ...plan,
      done: heats.slice(0, one.ran),
      published: heats.slice(one.ran, one.ran + one.announced),
      leave: drivers.slice(0, Math.min(one.leaving, one.n - 1)),
      join: names(one.joining, 'late').map((driver) => ({ driver, runsPerLane: one.lateRuns })),
      lanesOut,
      seed: one.seed,
      preset: one.preset as DrawRequest['preset'],
      budgetMs: 2,
    });
  });

/** The repaired heats and how the search got there. */
function solve(request: DrawRequest): { repair: Repair; heats: Seat[][] } {
  const answer = repairTask(request);
  if (!answer.ok) throw new Error(answer.problem.code);
  const search = searchNeeds(answer.repair.task);
  for (;;) {
    const step = search.next();
    if (step.done) {
      return { repair: answer.repair, heats: repairedHeats(answer.repair, step.value, request.lanes) };
    }
  }
}

const runsOn = (heats: readonly (readonly Seat[])[], driver: Driver, lane: number) =>
  heats.filter((row) => row[lane - 1] === driver).length;
const sizesOf = (heats: readonly (readonly Seat[])[]) => heats.map((row) => row.filter((seat) => seat !== null).length);

describe('a repair', () => {
  it('gives everybody who races on exactly the runs owed, nobody twice in a heat, in the fewest heats', () => {
    fc.assert(
      fc.property(repairs, (request) => {
        const { repair, heats } = solve(request);
        const all = [...request.done, ...heats];
        const inUse = names(request.lanes, '')
          .map(Number)
          .filter((lane) => !request.lanesOut.includes(lane));
        const degrees: number[] = [];
        const onLane = inUse.map(() => 0);
        for (const driver of repair.drivers) {
          const joined = request.join.find((one) => one.driver === driver);
          const wanted = joined?.runsPerLane ?? request.runsPerLane;
          for (const lane of inUse) expect(runsOn(all, driver, lane)).toBe(wanted);
          const owed = inUse.map((lane) => wanted - runsOn(request.done, driver, lane));
          degrees.push(owed.reduce((a, b) => a + b, 0));
          for (const [l, runs] of owed.entries()) onLane[l] = (onLane[l] as number) + runs;
        }
        for (const row of heats) {
          expect(row).toHaveLength(request.lanes);
          const driving = row.filter((seat) => seat !== null);
          expect(new Set(driving).size).toBe(driving.length);
          for (const driver of driving) expect(request.leave).not.toContain(driver);
          for (const lane of request.lanesOut) expect(row[lane - 1]).toBe(null);
        }
        // D. König (1916), and seats by cars.
        const cars = Math.min(inUse.length, repair.drivers.length, request.carsPerHeat ?? inUse.length);
        const seats = degrees.reduce((a, b) => a + b, 0);
        expect(repair.fewestHeats).toBe(Math.max(0, ...degrees, ...onLane, Math.ceil(seats / cars)));
        expect(heats).toHaveLength(repair.fewestHeats);
        for (const size of sizesOf(heats)) expect(size).toBeLessThanOrEqual(cars);
      }),
      { numRuns: 300 },
    );
  });
});
