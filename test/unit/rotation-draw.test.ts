import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { type DrawProgress, draw, drawing } from '../../server/rotation/draw.ts';
import {
  type DrawRequest,
  type Driver,
  drawRequest,
  type Rotation,
  type Seat,
} from '../../server/rotation/rotation.ts';

const numbers = (n: number) => Array.from({ length: n }, (_, i) => i + 1);

/** First draws of every kind, with a very short search. */
const firstDraws: fc.Arbitrary<DrawRequest> = fc
  .record({
    n: fc.integer({ min: 2, max: 20 }),
    lanes: fc.integer({ min: 1, max: 8 }),
    out: fc.option(fc.integer({ min: 1, max: 8 })),
    runsPerLane: fc.integer({ min: 1, max: 2 }),
    cars: fc.option(fc.integer({ min: 1, max: 8 })),
    marshals: fc.nat(4),
    groups: fc.integer({ min: 1, max: 3 }),
    preset: fc.constantFrom('opponents', 'rest', 'balanced', 'step', 'equals'),
    more: fc.option(fc.nat(9)),
    seed: fc.nat(1000),
  })
  .map((one) => {
    const lanesOut = one.out !== null && one.out <= one.lanes && one.lanes > 1 ? [one.out] : [];
    const cars = Math.min(one.cars ?? one.lanes, one.lanes - lanesOut.length);
    const groups = Math.min(one.groups, Math.floor(one.n / 2));
    // Enough that everybody of every group runs once.
    const heats = one.more === null ? null : Math.ceil(one.n / cars) + groups + one.more;
    return drawRequest({
      drivers: numbers(one.n),
      lanes: one.lanes,
      lanesOut,
      runsPerLane: one.runsPerLane,
      carsPerHeat: cars,
      marshals: one.marshals,
      groups,
      preset: one.preset as DrawRequest['preset'],
      heats,
      seed: one.seed,
      budgetMs: 1,
    });
  });

const driving = (row: readonly Seat[]) => row.filter((seat) => seat !== null) as Driver[];

/** Holds a first draw against what was asked for. */
function expectLegal(request: DrawRequest, { heats, marshals, groups, fewestHeats }: Rotation): void {
  const inUse = numbers(request.lanes).filter((lane) => !request.lanesOut.includes(lane));
  expect(heats).toHaveLength(request.heats ?? fewestHeats);
  expect(marshals).toHaveLength(heats.length);
  for (const group of groups ?? [request.drivers]) {
    const own = heats.filter((row) => driving(row).some((driver) => group.includes(driver)));
    const sizes = own.map((row) => driving(row).length);
    expect(Math.max(...sizes)).toBeLessThanOrEqual(request.carsPerHeat ?? request.lanes);
    expect(Math.max(...sizes) - Math.min(...sizes)).toBeLessThanOrEqual(1);
    const runs = group.map((driver) => inUse.map((lane) => own.filter((row) => row[lane - 1] === driver).length));
    for (const row of runs) {
      if (request.heats === null) expect(row).toEqual(inUse.map(() => request.runsPerLane));
      else expect(Math.max(...row) - Math.min(...row)).toBeLessThanOrEqual(1);
    }
    const totals = runs.map((row) => row.reduce((sum, count) => sum + count, 0));
    expect(Math.max(...totals) - Math.min(...totals)).toBeLessThanOrEqual(1);
    expect(Math.min(...totals)).toBeGreaterThanOrEqual(1);
  }
  for (const [h, row] of heats.entries()) {
    expect(row).toHaveLength(request.lanes);
    for (const lane of request.lanesOut) expect(row[lane - 1]).toBeNull();
    const busy = [...driving(row), ...(marshals[h] ?? [])];
    expect(new Set(busy).size).toBe(busy.length);
    const sitting = request.drivers.length - driving(row).length;
    expect(marshals[h]).toHaveLength(Math.min(request.marshals, sitting));
  }
}

function progressOf(request: DrawRequest): { progress: DrawProgress[]; rotation: Rotation } {
  const steps = drawing(request);
  const progress: DrawProgress[] = [];
  for (;;) {
    const step = steps.next();
    if (step.done) return { progress, rotation: step.value };
    progress.push(step.value);
  }
}

describe('a first draw', () => {
  it('is legal at once and in the end: runs, lanes, sizes, marshals', () => {
    fc.assert(
      fc.property(firstDraws, (request) => {
        const { progress, rotation } = progressOf(request);
        expectLegal(request, rotation);
        expectLegal(request, progress[0]?.better as Rotation);
      }),
      { numRuns: 60 },
    );
  });

  it('has a rotation at once, counts its work upwards and ends in time', () => {
    const { progress } = progressOf(
      drawRequest({ drivers: numbers(11), lanes: 4, preset: 'opponents', budgetMs: 100 }),
    );
    expect(progress[0]).toMatchObject({ done: 0, better: expect.anything() });
    expect(progress.length).toBeGreaterThan(2);
    for (const [i, { done, of }] of progress.entries()) {
      expect(done).toBeGreaterThanOrEqual(progress[i - 1]?.done ?? 0);
      expect(done).toBeLessThanOrEqual(of);
      expect(of).toBe(progress[0]?.of);
    }
  });

  it('is the same each time', () => {
    const request = drawRequest({ drivers: numbers(14), lanes: 4, marshals: 2, preset: 'balanced', budgetMs: 60 });
    expect(progressOf(request)).toEqual(progressOf(request));
  });

  it('gets better with time', () => {
    const request = drawRequest({ drivers: numbers(24), lanes: 6, preset: 'opponents' });
    const squares = (budgetMs: number) => draw({ ...request, budgetMs }).certificate.opponents.sumSquares;
    expect(squares(60)).toBeLessThan(squares(0));
  });

  it('does not let the order of the list decide who is where', () => {
    const firstHeats = numbers(10).map((seed) => {
      const { heats } = draw(drawRequest({ drivers: numbers(9), lanes: 3, preset: 'opponents', budgetMs: 1, seed }));
      return driving(heats[0] as Seat[])
        .sort()
        .join();
    });
    expect(new Set(firstHeats).size).toBeGreaterThan(5);
  });
});

describe('groups', () => {
  it('have certificates that add up', () => {
    const request = drawRequest({ drivers: numbers(14), lanes: 3, groups: [numbers(7), [8, 9, 10, 11, 12, 13, 14]] });
    const { certificate } = draw({ ...request, preset: 'opponents', budgetMs: 100 });
    // Seven drivers, three lanes: two groups of 21 pairs that meet once each.
    expect(certificate.opponents).toMatchObject({ min: 1, max: 1, sumSquares: 42, bound: 42, verdict: 'proved best' });
  });
});

describe('the preset step', () => {
  it('is the queue for as many heats as the queue fills', () => {
    const request = drawRequest({ drivers: numbers(7), lanes: 3, runsPerLane: 2, budgetMs: 5 });
    expect(draw({ ...request, runsPerLane: 1, heats: 14 }).heats).toEqual(draw(request).heats);
    expect(draw({ ...request, heats: 5 })).toMatchObject({ engine: expect.stringMatching(/^rotation/) });
  });
});
