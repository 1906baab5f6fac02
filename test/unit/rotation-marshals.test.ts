import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { draw } from '../../server/rotation/draw.ts';
import { assignMarshals } from '../../server/rotation/marshals.ts';
import { type Driver, drawRequest, type Seat } from '../../server/rotation/rotation.ts';

const numbers = (n: number) => Array.from({ length: n }, (_, i) => i + 1);
const dutiesOf = (drivers: readonly Driver[], marshals: readonly (readonly Driver[])[]) =>
  drivers.map((driver) => marshals.flat().filter((one) => one === driver).length);
const spreadOf = (counts: number[]) => Math.max(...counts) - Math.min(...counts);

/** Duties that stand in the heat straight before the marshal's own run. */
const beforeRuns = (heats: readonly (readonly Seat[])[], marshals: readonly (readonly Driver[])[]) =>
  marshals.flatMap((row, h) => row.filter((driver) => heats[h + 1]?.includes(driver))).length;
const squares = (counts: readonly number[]) => counts.reduce((sum, count) => sum + count * count, 0);

/** The best of every choice of marshals in every heat: smallest spread; most even counts and, with these, fewest duties
 * before own runs. */
function bestOfAll(drivers: readonly number[], heats: readonly (readonly Seat[])[], wanted: number, before: number[]) {
  const best = { spread: Number.POSITIVE_INFINITY, squares: Number.POSITIVE_INFINITY, beforeRuns: 0 };
  const subsets = (list: readonly number[], size: number): number[][] =>
    size === 0 ? [[]] : list.flatMap((one, i) => subsets(list.slice(i + 1), size - 1).map((rest) => [one, ...rest]));
  const walk = (marshals: number[][], counts: number[]) => {
    const seats = heats[marshals.length];
    if (!seats) {
      best.spread = Math.min(best.spread, spreadOf(counts));
      const found = { squares: squares(counts), beforeRuns: beforeRuns(heats, marshals) };
      const better = found.squares - best.squares || found.beforeRuns - best.beforeRuns;
      if (better < 0) Object.assign(best, found);
      return;
    }
    const sitting = drivers.filter((driver) => !seats.includes(driver));
    for (const chosen of subsets(sitting, Math.min(wanted, sitting.length))) {
      walk(
        [...marshals, chosen],
        counts.map((count, i) => count + (chosen.includes(drivers[i] as number) ? 1 : 0)),
      );
    }
  };
  walk([], before);
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

  it('finds the most even duties that any heats allow, and with these the fewest before own runs', () => {
    const drivers = numbers(5);
    const heat = fc.uniqueArray(fc.integer({ min: 1, max: 5 }), { minLength: 1, maxLength: 4 });
    const earlier = fc.array(fc.nat(2), { minLength: 5, maxLength: 5 });
    fc.assert(
      fc.property(
        fc.array(heat, { minLength: 1, maxLength: 5 }),
        fc.integer({ min: 1, max: 2 }),
        fc.option(earlier),
        (heats, wanted, duties) => {
          const before = duties ?? drivers.map(() => 0);
          const given = new Map(drivers.map((driver, d) => [driver, before[d] as number]));
          const { marshals } = assignMarshals({ drivers, marshals: wanted, exempt: [] }, heats, given);
          const counts = dutiesOf(drivers, marshals).map((count, d) => count + (before[d] as number));
          const best = bestOfAll(drivers, heats, wanted, before);
          expect(spreadOf(counts)).toBe(best.spread);
          expect(squares(counts)).toBe(best.squares);
          expect(beforeRuns(heats, marshals)).toBe(best.beforeRuns);
        },
      ),
      { numRuns: 300 },
    );
  });

  it('counts duties done before, so that a changed night is balanced as a whole', () => {
    const heats = [[1], [1], [1], [1]];
    const before = new Map([[2, 3]]);
    const { marshals } = assignMarshals({ drivers: [1, 2, 3, 4], marshals: 1, exempt: [] }, heats, before);
    expect(dutiesOf([1, 2, 3, 4], marshals)).toEqual([0, 0, 2, 2]);
  });

  it('does not let somebody stand marshal heat after heat where others can', () => {
    // Even counts let driver 3 take heats 3 and 4; with driver 2, who rests as well, nobody has two in a row.
    const heats = [
      [3, 5],
      [1, 3, 4, 5],
      [1, 2, 4, 5],
      [1, 4, 5],
    ];
    const { marshals } = assignMarshals({ drivers: numbers(5), marshals: 1, exempt: [] }, heats);
    expect(marshals).toEqual([[1], [2], [3], [2]]);
  });

  it('says in which heat how many posts stay empty', () => {
    const heats = [[1, 2], [1, 2, 3, 4], [1]];
    const { shortage } = assignMarshals({ drivers: numbers(5), marshals: 3, exempt: [5] }, heats);
    expect(shortage).toEqual([1, 3, 0]);
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
