import { describe, expect, test } from 'vitest';
import { type KeptPromise, reliability, wilson, winShares } from '../../server/pace/promise.ts';
import { randomFrom } from '../../server/shared/random.ts';

/** A heat of which the first starter won. */
const wonByFirst = (...chances: number[]): KeptPromise => ({
  starters: chances.map((chance, i) => ({ driver: `D${i}`, chance, share: i === 0 ? 1 : 0 })),
});

/** Heats whose winners are drawn from the chances told, or from others. */
function heatsFrom(seed: number, count: number, really: (chances: number[]) => number[] = (chances) => chances) {
  const random = randomFrom(seed);
  return Array.from({ length: count }, (): KeptPromise => {
    const raw = Array.from({ length: 4 }, () => 0.3 + random.unit());
    const total = raw.reduce((sum, x) => sum + x, 0);
    const chances = raw.map((x) => x / total);
    const weights = really(chances);
    let left = random.unit() * weights.reduce((sum, x) => sum + x, 0);
    const winner = weights.findIndex((x) => (left -= x) < 0);
    return { starters: chances.map((chance, i) => ({ driver: `D${i}`, chance, share: i === winner ? 1 : 0 })) };
  });
}

describe('limits of a share', () => {
  // R. G. Newcombe, Statistics in Medicine 17 (1998) 857-872, table I, method 3, 95 % (from memory).
  test.each([
    [81, 263, 0.2553, 0.3662],
    [15, 148, 0.0624, 0.1605],
    [0, 20, 0, 0.1611],
    [1, 29, 0.0061, 0.1718],
  ])('%i of %i', (won, tries, low, high) => {
    const limits = wilson(won, tries, 1.959963985);
    expect(limits.low).toBeCloseTo(low, 4);
    expect(limits.high).toBeCloseTo(high, 4);
  });

  test('nothing tried, nothing known', () => {
    expect(wilson(0, 0)).toEqual({ low: 0, high: 1 });
  });
});

describe('told chances against what happened', () => {
  // Brier 1950: sum over classes; certain and right 0, certain and wrong 2, equal chances of K 1 - 1/K, and for two
  // classes twice the one-sided square: 70 % and it came, 2 x 0.3^2.
  test('the score is Brier’s', () => {
    expect(reliability([wonByFirst(1, 0)]).brier).toBe(0);
    expect(reliability([wonByFirst(0, 1)]).brier).toBe(2);
    expect(reliability([wonByFirst(0.25, 0.25, 0.25, 0.25)]).brier).toBeCloseTo(0.75, 12);
    expect(reliability([wonByFirst(0.7, 0.3)]).brier).toBeCloseTo(0.18, 12);
    expect(reliability([wonByFirst(0.7, 0.3), wonByFirst(0, 1)]).brier).toBeCloseTo(1.09, 12);
    expect(reliability([wonByFirst(0.7, 0.3)]).brierEven).toBeCloseTo(0.5, 12);
  });

  test('chances that were right are within their limits, nine times of ten', () => {
    let inside = 0;
    let bins = 0;
    for (let seed = 0; seed < 40; seed += 1) {
      const told = reliability(heatsFrom(seed, 150));
      expect(told.heats).toBe(150);
      expect(told.bins.reduce((sum, bin) => sum + bin.starts, 0)).toBe(600);
      expect(told.bins.reduce((sum, bin) => sum + bin.won, 0)).toBeCloseTo(150, 9);
      bins += told.bins.length;
      inside += told.bins.filter(({ low, high, told: mean }) => low <= mean && mean <= high).length;
      for (const bin of told.bins) {
        expect(bin.starts).toBeGreaterThanOrEqual(10);
        expect(bin.told >= bin.from && bin.told <= bin.to && bin.low <= bin.rate && bin.rate <= bin.high).toBe(true);
      }
    }
    expect(bins).toBeGreaterThan(150);
    expect(inside / bins).toBeGreaterThan(0.86);
    expect(inside / bins).toBeLessThan(0.96);
  });

  test('chances that were wrong show', () => {
    const told = reliability(heatsFrom(3, 3000, (chances) => chances.map((p) => p ** 4)));
    const lowest = told.bins[0];
    const highest = told.bins.at(-1);
    expect(lowest && lowest.high < lowest.told).toBe(true);
    expect(highest && highest.low > highest.told).toBe(true);
    const right = reliability(heatsFrom(3, 600));
    expect(right.brier as number).toBeLessThan(right.brierEven as number);
  });

  test('wins of a driver or a group are held against their promises', () => {
    const heats = heatsFrom(5, 400, (chances) => chances.map((p, i) => (i === 2 ? 2 * p : p)));
    const shares = winShares(heats, (driver) => (driver === 'D2' ? 'lucky' : 'others'));
    expect(shares.map(({ label }) => label)).toEqual(['lucky', 'others']);
    expect(shares.map(({ starts }) => starts)).toEqual([400, 1200]);
    expect(shares.reduce((sum, { expected }) => sum + expected, 0)).toBeCloseTo(400, 9);
    expect(shares.reduce((sum, { won }) => sum + won, 0)).toBeCloseTo(400, 9);
    expect(shares[0]?.deviation).toBeGreaterThan(4);
    for (const { deviation } of winShares(heatsFrom(6, 400), (driver) => driver))
      expect(Math.abs(deviation)).toBeLessThan(4);
  });

  test('joint wins are split', () => {
    const joint = { starters: [0.5, 0.5].map((chance, i) => ({ driver: `${i}`, chance, share: 0.5 })) };
    expect(reliability([joint]).brier).toBe(0);
    expect(winShares([joint], (driver) => driver).map(({ won }) => won)).toEqual([0.5, 0.5]);
  });

  test('what cannot be judged is passed over', () => {
    const odd = (chance: number, share: number): KeptPromise => ({
      starters: [
        { driver: 'A', chance, share },
        { driver: 'B', chance: 0.5, share: 0 },
      ],
    });
    const useless = [
      odd(Number.NaN, 1),
      odd(-0.1, 1),
      odd(Infinity, 1),
      odd(0.5, 0),
      odd(0.5, Number.NaN),
      wonByFirst(1),
      wonByFirst(),
      wonByFirst(0, 0),
    ];
    expect(reliability(useless)).toEqual({ heats: 0, starts: 0, bins: [], brier: null, brierEven: null });
    expect(winShares(useless, (driver) => driver)).toEqual([]);
    // Chances that do not add up are taken in proportion.
    expect(reliability([odd(1.5, 1)]).brier).toBeCloseTo(2 * 0.25 ** 2, 12);
    expect(reliability([wonByFirst(1, 0)]).bins).toHaveLength(1);
  });
});
