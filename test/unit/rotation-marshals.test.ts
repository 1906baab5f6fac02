import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { draw } from '../../server/rotation/draw.ts';
import { assignMarshals } from '../../server/rotation/marshals.ts';
import { type Driver, drawRequest, type Seat } from '../../server/rotation/rotation.ts';

const numbers = (n: number) => Array.from({ length: n }, (_, i) => i + 1);
const dutiesOf = (drivers: readonly Driver[], marshals: readonly (readonly Driver[])[]) =>
  drivers.map((driver) => marshals.flat().filter((one) => one === driver).length);
const spreadOf = (counts: number[]) => Math.max(...counts) - Math.min(...counts);

/** Smallest spread of duties, by trying every choice of marshals in every heat. */
function smallestSpread(drivers: readonly number[], heats: readonly (readonly Seat[])[], wanted: number): number {
  let best = Number.POSITIVE_INFINITY;
  const subsets = (list: readonly number[], size: number): number[][] =>
    size === 0 ? [[]] : list.flatMap((one, i) => subsets(list.slice(i + 1), size - 1).map((rest) => [one, ...rest]));
  const walk = (h: number, counts: number[]) => {
    const seats = heats[h];
    if (!seats) {
      best = Math.min(best, spreadOf(counts));
      return;
    }
    const sitting = drivers.filter((driver) => !seats.includes(driver));
    for (const chosen of subsets(sitting, Math.min(wanted, sitting.length))) {
      walk(
        h + 1,
        counts.map((count, i) => count + (chosen.includes(drivers[i] as number) ? 1 : 0)),
      );
    }
  };
  walk(
    0,
    drivers.map(() => 0),
  );
  return best;
}

describe('assignMarshals', () => {
  it('takes marshals from those who sit out and says how many are missing', () => {
    fc.assert(
      fc.property(
        fc.integer({ min: 1, max: 25 }),
        fc.integer({ min: 1, max: 8 }),
        fc.integer({ min: 0, max: 6 }),
        fc.nat(3),
        (n, lanes, wanted, exemptCount) => {
          const exempt = numbers(n).slice(0, exemptCount);
          const { heats } = draw(drawRequest({ drivers: numbers(n), lanes }));
          const { marshals, shortage } = assignMarshals({ drivers: numbers(n), marshals: wanted, exempt }, heats);
          for (const [h, row] of marshals.entries()) {
            const able = numbers(n).filter((d) => !heats[h]?.includes(d) && !exempt.includes(d));
            expect(row).toHaveLength(Math.min(wanted, able.length));
            expect(new Set(row).size).toBe(row.length);
            expect(row.every((driver) => able.includes(driver as number))).toBe(true);
            expect(shortage[h]).toBe(wanted - row.length);
          }
        },
      ),
    );
  });

  // Theorem: with equal runs and full heats every driver can have floor or ceiling of marshals x heats / drivers.
  it('spreads duties to within one where heats are full', () => {
    fc.assert(
      fc.property(
        fc.integer({ min: 2, max: 40 }),
        fc.integer({ min: 1, max: 8 }),
        fc.integer({ min: 1, max: 6 }),
        fc.integer({ min: 1, max: 3 }),
        (n, lanes, wanted, runsPerLane) => {
          fc.pre(n - lanes >= wanted);
          const drivers = numbers(n);
          const { heats, marshals } = draw(drawRequest({ drivers, lanes, runsPerLane, marshals: wanted }));
          const counts = dutiesOf(drivers, marshals);
          expect(Math.min(...counts)).toBe(Math.floor((wanted * heats.length) / n));
          expect(Math.max(...counts)).toBe(Math.ceil((wanted * heats.length) / n));
        },
      ),
    );
  });

  it('finds the smallest spread that any heats allow', () => {
    const heat = fc.uniqueArray(fc.integer({ min: 1, max: 5 }), { minLength: 1, maxLength: 4 });
    fc.assert(
      fc.property(fc.array(heat, { minLength: 1, maxLength: 5 }), fc.integer({ min: 1, max: 2 }), (heats, wanted) => {
        const drivers = numbers(5);
        const { marshals } = assignMarshals({ drivers, marshals: wanted, exempt: [] }, heats);
        expect(spreadOf(dutiesOf(drivers, marshals))).toBe(smallestSpread(drivers, heats, wanted));
      }),
      { numRuns: 150 },
    );
  });

  it('hands duties on along a chain where a direct exchange is impossible', () => {
    // C sits out only in heat 3; A must give to B in heat 1 or 2 and B to C in heat 3, whatever the first choice was.
    const heats = [
      ['C', 'D'],
      ['C', 'D'],
      ['A', 'D'],
    ];
    const { marshals } = assignMarshals({ drivers: ['A', 'B', 'C'], marshals: 1, exempt: [] }, heats);
    expect(dutiesOf(['A', 'B', 'C'], marshals)).toEqual([1, 1, 1]);
  });

  it('spares those who run in the next heat where it can choose', () => {
    const heats = [[1], [2], [3]];
    const { marshals } = assignMarshals({ drivers: [1, 2, 3], marshals: 1, exempt: [] }, heats);
    expect(marshals).toEqual([[3], [1], [2]]);
  });
});
