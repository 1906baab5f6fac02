import fc from 'fast-check';
import { describe, expect, it, test } from 'vitest';
import { draw } from '../../server/rotation/draw.ts';
import { queueHeats } from '../../server/rotation/queue.ts';
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
    announced: fc.nat(12),
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
    const heats = queueHeats(drawRequest(plan));
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

/** The repaired heats and what was asked of the search. */
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

  it('keeps the next announced heat as long as nobody of it left', () => {
    const night = drawRequest({ drivers: names(9), lanes: 3, preset: 'opponents', budgetMs: 20 });
    const heats = queueHeats(night);
    const begun = { ...night, done: heats.slice(0, 3), published: heats.slice(3, 5) };
    const late = [{ driver: 'late', runsPerLane: 1 }];
    const rider = heats[3]?.find((seat) => seat !== null) as Driver;
    const sitter = night.drivers.find((driver) => !heats[3]?.includes(driver)) as Driver;
    for (const change of [{}, { join: late }, { leave: [sitter] }, { leave: [sitter], join: late }]) {
      for (const seed of [1, 2, 3]) expect(solve({ ...begun, ...change, seed }).heats[0]).toEqual(heats[3]);
    }
    const changed = solve({ ...begun, leave: [rider] });
    expect(changed.heats.flat()).not.toContain(rider);
    expect(changed.heats[0]).not.toContain(null);
    // Whoever was announced on the broken lane needs another heat.
    expect(solve({ ...begun, lanesOut: [2] }).heats[0]).not.toEqual(heats[3]);
    // A run that is not owed any more is not run.
    const ridden = [...begun.done, heats[3] as Seat[]];
    expect(solve({ ...begun, done: ridden }).heats[0]).not.toEqual(heats[3]);
  });

  it('rather makes an announced heat anew than a night longer', () => {
    // Lane 1 is owed to both, in two heats; the announced heat leaves it empty.
    const night = drawRequest({ drivers: ['Ann', 'Bob'], lanes: 2, done: [[null, null]], published: [[null, 'Ann']] });
    const { repair, heats } = solve(night);
    expect(repair.fewestHeats).toBe(2);
    expect(heats).toHaveLength(2);
  });

  it('changes as few announced seats as it can where nothing else speaks', () => {
    const night = drawRequest({ drivers: names(4), lanes: 2, preset: 'opponents', budgetMs: 50 });
    const first = solve({ ...night, done: [] }).heats;
    const begun = { ...night, done: first.slice(0, 1), published: first.slice(1, 3) };
    expect(solve(begun).heats.slice(0, 2)).toEqual(first.slice(1, 3));
  });
});

describe('a repair of exactly so many heats', () => {
  const uneven = fc
    .record({
      n: fc.integer({ min: 2, max: 12 }),
      lanes: fc.integer({ min: 1, max: 5 }),
      ran: fc.nat(10),
      heats: fc.integer({ min: 1, max: 14 }),
      leaving: fc.nat(1),
      joining: fc.nat(2),
      carsPerHeat: fc.option(fc.integer({ min: 1, max: 5 })),
    })
    .map((one) => {
      const plan = { drivers: names(one.n), lanes: one.lanes, carsPerHeat: one.carsPerHeat };
      const heats = queueHeats(drawRequest(plan));
      return drawRequest({
        ...plan,
        done: heats.slice(0, one.ran),
        heats: one.heats,
        leave: names(Math.min(one.leaving, one.n - 1)),
        join: names(one.joining, 'late').map((driver) => ({ driver, runsPerLane: 1 })),
        preset: 'opponents',
        budgetMs: 1,
      });
    });

  it('uses them all, equally large, nobody twice in one', () => {
    fc.assert(
      fc.property(uneven, (request) => {
        const answer = repairTask(request);
        if (!answer.ok) {
          expect(answer.problem).toMatchObject({ code: 'too many heats', heats: request.heats });
          return;
        }
        const { repair, heats } = solve(request);
        expect(heats).toHaveLength(request.heats as number);
        const sizes = sizesOf(heats);
        expect(Math.max(...sizes) - Math.min(...sizes)).toBeLessThanOrEqual(1);
        expect(Math.min(...sizes)).toBeGreaterThan(0);
        expect(Math.max(...sizes)).toBeLessThanOrEqual(request.carsPerHeat ?? request.lanes);
        for (const row of heats) {
          const driving = row.filter((seat) => seat !== null);
          expect(new Set(driving).size).toBe(driving.length);
          for (const driver of driving) expect(repair.drivers).toContain(driver);
        }
      }),
      { numRuns: 300 },
    );
  });

  const allRuns = (heats: readonly (readonly Seat[])[], driver: Driver) =>
    heats.flat().filter((seat) => seat === driver).length;
  const spread = (counts: number[]) => Math.max(...counts) - Math.min(...counts);
  const lanesOf = (heats: readonly (readonly Seat[])[], driver: Driver, lanes: number) =>
    Array.from({ length: lanes }, (_, l) => runsOn(heats, driver, l + 1));

  it('cuts a night short with runs and lanes within one of each other', () => {
    for (const [n, lanes, ran, left] of [
      [10, 4, 3, 4],
      [9, 3, 2, 3],
      [13, 4, 5, 6],
      [7, 5, 2, 2],
    ] as const) {
      const night = drawRequest({ drivers: names(n), lanes, budgetMs: 5, preset: 'opponents' });
      const done = queueHeats(night).slice(0, ran);
      const { repair, heats } = solve({ ...night, done, heats: left });
      expect(heats).toHaveLength(left);
      expect(repair.fewestHeats).toBeGreaterThan(left);
      for (const size of sizesOf(heats)) expect(size).toBe(lanes);
      const all = [...done, ...heats];
      expect(spread(names(n).map((driver) => allRuns(all, driver)))).toBeLessThanOrEqual(1);
      for (const driver of names(n)) expect(spread(lanesOf(all, driver, lanes))).toBeLessThanOrEqual(1);
    }
  });

  it('goes on with a night that goes by heats', () => {
    const night = drawRequest({ drivers: names(10), lanes: 4, runsPerLane: 2, budgetMs: 5, preset: 'opponents' });
    const done = queueHeats(night).slice(0, 9);
    const { heats } = solve({ ...night, runsPerLane: 1, done, heats: 11, leave: ['d1'] });
    expect(heats).toHaveLength(11);
    for (const size of sizesOf(heats)) expect(size).toBe(4);
    const all = [...done, ...heats];
    const here = names(10).slice(1);
    expect(spread(here.map((driver) => allRuns(all, driver)))).toBeLessThanOrEqual(1);
    for (const driver of here) expect(spread(lanesOf(all, driver, 4))).toBeLessThanOrEqual(1);
  });

  it('spreads what is owed over one heat more than needed', () => {
    const night = drawRequest({ drivers: names(10), lanes: 4, preset: 'opponents', budgetMs: 20 });
    const done = queueHeats(night).slice(0, 4);
    const { repair } = solve({ ...night, done });
    const { heats } = solve({ ...night, done, heats: repair.fewestHeats + 1 });
    expect(heats).toHaveLength(repair.fewestHeats + 1);
    for (const driver of names(10)) expect(lanesOf([...done, ...heats], driver, 4)).toEqual([1, 1, 1, 1]);
  });

  it('is refused where runs do not fill the heats', () => {
    const request = drawRequest({ drivers: ['Ann'], lanes: 2, done: [['Ann', null]], leave: ['Ann'], heats: 2 });
    expect(repairTask(request)).toEqual({ ok: false, problem: { code: 'too many heats', heats: 2, most: 0 } });
  });
});

test('the marshals of a repair even out the duties of the whole night', () => {
  const drivers = names(8);
  const night = drawRequest({ drivers, lanes: 3, marshals: 2, preset: 'opponents', budgetMs: 20 });
  const first = draw(night);
  const done = first.heats.slice(0, 3);
  const earlier = first.marshals.slice(0, 3).flat();
  const count = (list: readonly Driver[], driver: Driver) => list.filter((one) => one === driver).length;
  const duties = drivers.map((driver) => ({ driver, duties: count(earlier, driver) }));
  const { marshals, certificate } = draw({ ...night, done, duties });
  const all = drivers.map((driver) => count([...earlier, ...marshals.flat()], driver));
  expect(Math.max(...all) - Math.min(...all)).toBe(certificate.duty.spread);
  expect(certificate.duty).toMatchObject({ spread: certificate.duty.bound, verdict: 'proved best' });
});

test('who ran the last heat rests first where somebody else can run', () => {
  const night = drawRequest({ drivers: ['a', 'b', 'c', 'd'], lanes: 2, preset: 'rest', budgetMs: 20 });
  for (const seed of [1, 2, 3, 4]) {
    const { heats } = solve({
      ...night,
      seed,
      done: [
        ['a', 'b'],
        ['c', 'd'],
        ['b', 'a'],
      ],
    });
    expect(new Set(heats[0])).toEqual(new Set(['c', 'd']));
  }
});
