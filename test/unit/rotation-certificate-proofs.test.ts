import { readdirSync, readFileSync } from 'node:fs';
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { hilbertSymbol, mayBeCongruentToIdentity } from '../../server/rotation/certificate/congruence.ts';
import { meetingsTable } from '../../server/rotation/certificate/designs.ts';
import { certifyDuty, leastDutySpread } from '../../server/rotation/certificate/duty.ts';
import { balancedSquares, Levels, sumOf, sumOfSquares } from '../../server/rotation/certificate/squares.ts';
import { numbers } from '../helpers/nights.ts';

describe('mayBeCongruentToIdentity', () => {
  it('never rules out what exists: N Nt of a square matrix', () => {
    const matrices = fc.integer({ min: 1, max: 8 }).chain((n) =>
      fc.array(fc.array(fc.integer({ min: -1, max: 3 }), { minLength: n, maxLength: n }), {
        minLength: n,
        maxLength: n,
      }),
    );
    fc.assert(
      fc.property(matrices, (rows) => {
        const products = rows.map((a) => rows.map((b) => sumOf(a.map((x, i) => x * (b[i] ?? 0)))));
        expect(mayBeCongruentToIdentity(products)).toBe(true);
      }),
      { numRuns: 1000 },
    );
  });

  it.each([
    // x^2 + y^2 is never 3 z^2, nor 7 z^2, nor 21 z^2: P. de Fermat, sums of two squares.
    [
      [
        [3, 0],
        [0, 3],
      ],
      false,
    ],
    [
      [
        [7, 0],
        [0, 7],
      ],
      false,
    ],
    [
      [
        [21, 0],
        [0, 21],
      ],
      false,
    ],
    [
      [
        [5, 0],
        [0, 5],
      ],
      true,
    ],
    [
      [
        [13, 0],
        [0, 13],
      ],
      true,
    ],
    // Not a square determinant.
    [
      [
        [2, 0],
        [0, 1],
      ],
      false,
    ],
    [
      [
        [2, 1],
        [1, 1],
      ],
      true,
    ],
  ])('%j: %s', (matrix, expected) => expect(mayBeCongruentToIdentity(matrix)).toBe(expected));

  it('decides two numbers alike as the sums of squares they stand for', () => {
    // (a, b) = 1 at p exactly where a x^2 + b y^2 = z^2 has a solution modulo p^2 with not all divisible by p.
    for (const p of [3, 5, 7]) {
      const square = p * p;
      const squares = new Map(numbers(square).map((z) => [(z * z) % square, true]));
      const unitSquares = new Set(numbers(square).flatMap((z) => (z % p === 0 ? [] : [(z * z) % square])));
      for (let a = 1; a < square; a++) {
        for (let b = 1; b < square; b++) {
          if (a % square === 0 || b % square === 0) continue;
          const solved = numbers(square).some((x) =>
            numbers(square).some((y) => {
              const z2 = (a * x * x + b * y * y) % square;
              return x % p !== 0 || y % p !== 0 ? squares.has(z2) : unitSquares.has(z2);
            }),
          );
          expect(hilbertSymbol(BigInt(a), BigInt(b), BigInt(p)), `${a} ${b} ${p}`).toBe(solved ? 1 : -1);
        }
      }
    }
  });
});

describe('tables of meetings', () => {
  // Remainders 0, 1 and n - 2.
  it.each([
    { drivers: 22, runs: 7, heats: 22, cars: 7, step: 4 },
    { drivers: 20, runs: 5, heats: 20, cars: 5, step: 2 },
    { drivers: 22, runs: 5, heats: 22, cars: 5, step: 2 },
  ])('least and next: %j', ({ step, ...field }) => {
    const total = field.runs * (field.cars - 1);
    const squares = (which: 'least' | 'next') => {
      const table = meetingsTable(field, which);
      const rows = table.map((row, i) => row.filter((_, j) => j !== i));
      for (const [i, row] of table.entries()) {
        expect(row[i]).toBe(field.runs);
        expect(sumOf(rows[i] ?? [])).toBe(total);
        for (const [j, meetings] of row.entries()) expect(table[j]?.[i]).toBe(meetings);
      }
      return sumOf(rows.map(sumOfSquares)) / 2;
    };
    const least = squares('least');
    expect(least).toBe(balancedSquares((field.drivers * total) / 2, (field.drivers * (field.drivers - 1)) / 2));
    expect(squares('next')).toBe(least + step);
  });

  it('there is one of each, up to names: six drivers, all tables', () => {
    const cells = numbers(6).flatMap((a) => numbers(6).flatMap((b) => (a < b ? [[a - 1, b - 1] as const] : [])));
    /** Number of ways to differ from a table of equal entries, by the sum of squared differences. */
    const ways = (rowSum: number, mostSquares: number) => {
      const found = new Map<number, number>();
      const rows = Array<number>(6).fill(0);
      const add = ([a, b]: readonly [number, number], by: number) => {
        rows[a] = (rows[a] ?? 0) + by;
        rows[b] = (rows[b] ?? 0) + by;
      };
      const visit = (at: number, squares: number) => {
        const cell = cells[at];
        if (cell === undefined) {
          if (rows.every((sum) => sum === rowSum)) found.set(squares, (found.get(squares) ?? 0) + 1);
          return;
        }
        for (const by of [-2, -1, 0, 1, 2]) {
          if (squares + by * by > mostSquares) continue;
          add(cell, by);
          visit(at + 1, squares + by * by);
          add(cell, -by);
        }
      };
      visit(0, 0);
      return Object.fromEntries(found);
    };
    // Rings of four with alternating signs: 15 sets of four, 3 rings each, 2 ways to begin.
    expect(ways(0, 4)).toEqual({ 0: 1, 4: 90 });
    // 15 perfect matchings; then a pair x y, and which two of the other four are odd with x.
    expect(ways(1, 5)).toEqual({ 3: 15, 5: 90 });
  });
});

describe('least sums of squares', () => {
  const small = fc.record({
    counts: fc.array(fc.integer({ min: 0, max: 4 }), { minLength: 1, maxLength: 4 }),
    added: fc.integer({ min: 0, max: 7 }),
  });

  it('are those of the best way to add, tried one by one', () => {
    const ways = (counts: number[], added: number): number[][] => {
      const [first, ...others] = counts;
      if (first === undefined) return added === 0 ? [[]] : [];
      return Array.from({ length: added + 1 }, (_, x) =>
        ways(others, added - x).map((rest) => [first + x, ...rest]),
      ).flat();
    };
    fc.assert(
      fc.property(small, ({ counts, added }) => {
        const all = ways(counts, added);
        const levels = new Levels(counts);
        expect(levels.leastSquares(added)).toBe(Math.min(...all.map(sumOfSquares)));
        expect(levels.range(added)).toEqual({
          least: Math.max(...all.map((way) => Math.min(...way))),
          most: Math.min(...all.map((way) => Math.max(...way))),
        });
        const fresh = new Levels(counts.map(() => 0));
        expect(balancedSquares(added, counts.length)).toBe(fresh.leastSquares(added));
      }),
    );
  });
});

describe('leastDutySpread', () => {
  const sets = (list: readonly number[], size: number): number[][] =>
    size === 0 ? [[]] : list.flatMap((one, i) => sets(list.slice(i + 1), size - 1).map((rest) => [one, ...rest]));
  const plans = (sitting: readonly number[][], asked: readonly number[]): number[][][] =>
    sitting.reduce<number[][][]>(
      (lists, sitters, h) => lists.flatMap((list) => sets(sitters, asked[h] ?? 0).map((duty) => [...list, duty])),
      [[]],
    );
  const spread = (plan: readonly number[][], before: readonly number[]) => {
    const duties = before.map((done, d) => done + plan.flat().filter((p) => p === d).length);
    return Math.max(...duties) - Math.min(...duties);
  };

  it('is that of the best plan, tried one by one', () => {
    const cases = fc.integer({ min: 2, max: 5 }).chain((people) =>
      fc.record({
        before: fc.option(fc.array(fc.nat(3), { minLength: people, maxLength: people })),
        people: fc.constant(people),
        heats: fc.array(
          fc.subarray(numbers(people).map((d) => d - 1)).chain((sitters) =>
            fc.record({
              sitters: fc.constant(sitters),
              asked: fc.integer({ min: 0, max: Math.min(2, sitters.length) }),
            }),
          ),
          { minLength: 1, maxLength: 5 },
        ),
      }),
    );
    fc.assert(
      fc.property(cases, ({ people, heats, before }) => {
        const sitting = heats.map((heat) => heat.sitters);
        const asked = heats.map((heat) => heat.asked);
        const earlier = before ?? numbers(people).map(() => 0);
        const best = Math.min(...plans(sitting, asked).map((plan) => spread(plan, earlier)));
        expect(leastDutySpread(sitting, asked, people, ...(before ? [before] : []))).toBe(best);
      }),
      { numRuns: 300 },
    );
  });

  it('knows that who drives cannot marshal', () => {
    // Ann sits out once, Bob and Cid never together: one duty each for Bob and Cid in three heats is all there is.
    const heats = [
      ['Ann', 'Bob'],
      ['Ann', 'Bob'],
      ['Ann', 'Bob'],
      ['Bob', 'Cid'],
    ];
    const marshals = [['Cid'], ['Cid'], ['Cid'], ['Ann']];
    const night = { drivers: ['Ann', 'Bob', 'Cid'], exempt: [], heats, marshals };
    expect(certifyDuty({ ...night, wanted: 1 })).toEqual({
      ...{ min: 0, max: 3, spread: 3, shortage: 0 },
      ...{ bound: 3, verdict: 'proved best', why: 'bound reached' },
    });
    // Two are wanted and one sits out: one is missing, and nobody could help it.
    expect(certifyDuty({ ...night, wanted: 2 })).toMatchObject({ shortage: 1, verdict: 'proved best' });
    // Bob never marshals: without him two drivers share, one of them three times as often.
    expect(certifyDuty({ ...night, exempt: ['Bob'], wanted: 1 })).toMatchObject({ min: 1, max: 3, bound: 2 });
    // A post stays empty although somebody sits out.
    expect(certifyDuty({ ...night, marshals: [['Cid'], ['Cid'], ['Cid'], []], wanted: 1 })).toMatchObject({
      ...{ shortage: 1, spread: 3, bound: 3, verdict: 'best known' },
    });
  });
});

describe('independence', () => {
  it('the certificate shares nothing with what draws: it imports its own files and types', () => {
    const folder = new URL('../../server/rotation/certificate/', import.meta.url);
    const imports = readdirSync(folder).flatMap((name) =>
      [
        ...readFileSync(new URL(name, folder), 'utf8').matchAll(/^(?:import|export) (type )?[^;]*?from '([^']+)'/gms),
      ].map(([, type, from]) => ({ name, type: type !== undefined, from: from ?? '' })),
    );
    expect(imports.length).toBeGreaterThan(10);
    const foreign = imports.filter(({ from, type }) => !from.startsWith('./') && !(type && from === '../rotation.ts'));
    expect(foreign).toEqual([]);
  });
});
