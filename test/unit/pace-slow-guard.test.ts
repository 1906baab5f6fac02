import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import {
  bestOfConstant,
  cappedRise,
  guardedPace,
  type ShownNight,
  type ShownPace,
  shownPace,
  usualSlowGuard,
} from '../../server/pace/slow-guard.ts';
import { randomFrom } from '../../server/shared/random.ts';

const heatSd = 0.01;
const v = 0.005 ** 2;

/** Nights a week apart, the first being the driver's `from`th. */
const nights = (paces: readonly number[], from = 0): ShownNight[] =>
  paces.map((logPace, i) => ({ logPace, nightsBehind: from + i, day: 7 * i }));

function shown(over: Partial<ShownPace>): ShownPace {
  return { logPace: 1.8, heats: [], nights: [], heatVariance: heatSd ** 2, today: null, ...over };
}

describe('best heats', () => {
  const heatsAround = (pace: number, count: number, seed: number, slow = 0) => {
    const random = randomFrom(seed);
    return Array.from({ length: count }, (_, i) => ({
      logPace: pace + Math.sqrt(heatSd ** 2 + v) * random.normal() + (i % 2 === 0 ? slow : 0),
      v,
    }));
  };

  test('of an honest driver suggest the pace itself, on average', () => {
    const limits = Array.from(
      { length: 400 },
      (_, seed) => guardedPace(shown({ heats: heatsAround(1.8, 20, seed) })).fromBestHeats as number,
    );
    const mean = limits.reduce((sum, x) => sum + x, 0) / limits.length;
    expect(mean - usualSlowGuard.margin).toBeCloseTo(1.8, 3);
  });

  test('show through half of all heats driven slowly on purpose', () => {
    const { logPace, by } = guardedPace(shown({ logPace: 1.83, heats: heatsAround(1.8, 20, 5, 0.06) }));
    expect(by).toBe('bestHeats');
    expect(logPace).toBeLessThan(1.81);
  });

  test('are only the last twenty, and six at least', () => {
    const late = heatsAround(1.8, 20, 2);
    const early = heatsAround(1.5, 20, 3);
    expect(guardedPace(shown({ heats: [...early, ...late] }))).toEqual(guardedPace(shown({ heats: late })));
    expect(guardedPace(shown({ heats: late.slice(0, 5) })).fromBestHeats).toBeNull();
    expect(guardedPace(shown({ heats: late.slice(0, 6) })).fromBestHeats).not.toBeNull();
  });
});

describe('low mark', () => {
  test('lets a pace rise in full at first, then by half, and by no more than the cap', () => {
    const rise = (by: number) => {
      const marked = shown({ logPace: 1.8 + by, nights: nights([1.9, 1.9, 1.9, 1.8, 1.81]) });
      return guardedPace(marked).logPace - 1.8;
    };
    expect(rise(-0.01)).toBeCloseTo(-0.01, 12);
    expect(rise(0.006)).toBeCloseTo(0.006, 12);
    expect(rise(0.01)).toBeCloseTo(0.008, 12);
    expect(rise(0.1)).toBeCloseTo(0.012, 12);
  });

  test('needs three nights behind it, deleted ones included, and is of the last twelve', () => {
    expect(guardedPace(shown({ nights: nights([1.7, 1.7, 1.7]) })).fromLowMark).toBeNull();
    expect(guardedPace(shown({ nights: nights([1.7], 3) })).by).toBe('lowMark');
    const twelve = Array.from({ length: 12 }, () => 1.8);
    expect(guardedPace(shown({ nights: nights([1.6, 1.7, ...twelve], 9) })).by).toBe('pace');
  });

  test('fades over four nights after eight weeks without a lap', () => {
    const before = nights([1.8, 1.8, 1.8, 1.8, 1.8]);
    const after = (count: number): ShownNight[] =>
      Array.from({ length: count }, (_, i) => ({ logPace: 1.84, nightsBehind: 5 + i, day: 28 + 56 + 7 * i }));
    const limit = (count: number, today: number) =>
      guardedPace(shown({ logPace: 1.84, nights: [...before, ...after(count)], today })).logPace;
    expect(limit(0, 28 + 55)).toBeCloseTo(1.812, 9);
    // A quarter of the way on the night of the return, all of it on the fourth.
    expect(limit(0, 28 + 56)).toBeCloseTo(1.822, 9);
    expect(limit(1, 28 + 63)).toBeCloseTo(1.832, 9);
    expect(limit(3, 28 + 77)).toBeCloseTo(1.84, 9);
  });

  test('does not fade where nobody knows the days', () => {
    const unknown = nights([1.8, 1.8, 1.8, 1.8]).map((night) => ({ ...night, day: null }));
    expect(guardedPace(shown({ logPace: 1.9, nights: unknown, today: 5000 })).logPace).toBeCloseTo(1.812, 9);
  });
});

test('what a fit says becomes what a driver showed: marks are of their own time, not of later nights', () => {
  const components = { a: 0, w: 0, q: 0, r: 0.006, de: 0, tau: 0.008, s: 0, g: 0 };
  const latestNights = [{ night: 7, logPace: 1.84, shownLogPace: 1.8, sd: 0.01, changeSd: 0.005, nightsBehind: 4 }];
  const pace = {
    carClass: 'GT',
    logPace: 1.9,
    sd: 0.01,
    heats: 1,
    latestHeats: [{ night: 7, logPace: 1.8, v }],
    latestNights,
  };
  const shownBy = shownPace(pace, components, (night) => 7 * night, 60);
  expect(shownBy.nights).toEqual([{ logPace: 1.8, nightsBehind: 4, day: 49 }]);
  expect(shownBy.heatVariance).toBeCloseTo(0.0001, 12);
  expect(guardedPace(shownBy).logPace).toBeCloseTo(1.812, 9);
});

test('the constant rises with the number of heats and falls with the share of them', () => {
  expect(bestOfConstant(20, 8)).toBeGreaterThan(bestOfConstant(10, 4));
  expect(bestOfConstant(20, 4)).toBeGreaterThan(bestOfConstant(20, 8));
  expect(() => bestOfConstant(5, 6)).toThrow(RangeError);
});

const logPace = fc.double({ min: 0.5, max: 4, noNaN: true });
const anyShown = fc.record<ShownPace>({
  logPace,
  heats: fc.array(
    fc.record({
      logPace: fc.oneof(logPace, fc.double()),
      v: fc.oneof(fc.double({ min: 0, max: 0.01, noNaN: true }), fc.double()),
    }),
  ),
  nights: fc.array(
    fc.record({ logPace: fc.oneof(logPace, fc.double()), nightsBehind: fc.nat(40), day: fc.option(fc.nat(900)) }),
  ),
  heatVariance: fc.double({ min: 0, max: 0.01, noNaN: true }),
  today: fc.option(fc.nat(1000)),
});

test('nobody is taken for slower than the pace shown, and all is a number', () => {
  fc.assert(
    fc.property(anyShown, (each) => {
      const guarded = guardedPace(each);
      expect(guarded.logPace).toBeLessThanOrEqual(each.logPace);
      expect(Number.isNaN(guarded.logPace)).toBe(false);
      expect(guardedPace(each, { ...usualSlowGuard, on: false }).logPace).toBe(each.logPace);
    }),
  );
});

test('a capped rise never falls as the value rises, and lies between the low mark and its cap', () => {
  const caps = fc.record({
    soft: fc.double({ min: 0, max: 3, noNaN: true }),
    hard: fc.double({ min: 3, max: 6, noNaN: true }),
  });
  fc.assert(
    fc.property(logPace, logPace, logPace, caps, (low, a, b, cap) => {
      const [lower, higher] = [Math.min(a, b), Math.max(a, b)];
      expect(cappedRise(low, lower, cap)).toBeLessThanOrEqual(cappedRise(low, higher, cap) + 1e-12);
      expect(cappedRise(low, a, cap)).toBeLessThanOrEqual(Math.min(a, low + cap.hard) + 1e-12);
    }),
  );
});
