import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import type { CrashCount, HeatRow } from '../../server/pace/heat-row.ts';
import { driftAt, driftSeenByOthers } from '../../server/pace/night-drift.ts';
import { crashDifference } from '../../server/pace/setting-crashes.ts';
import { type Setting, type SettingContext, settingEffect } from '../../server/pace/setting-effect.ts';

const heat = (over: Partial<HeatRow> = {}): HeatRow => ({
  night: 1,
  heat: '1',
  startS: 0,
  track: 'T',
  lane: 1,
  driver: 'Ada',
  carClass: 'GT',
  y: 1.8,
  v: 0.004 ** 2,
  cleanLaps: 20,
  ...over,
});

const driven = (setting: Setting, ...paces: readonly Partial<HeatRow>[]) =>
  paces.map((over) => ({ setting, row: heat(over) }));

const context = (over: Partial<SettingContext> = {}): SettingContext => ({
  tau: 0.008,
  lane: (_, lane) => ({ logEffect: 0.01 * (lane - 2), sd: 0.002 }),
  night: [],
  ...over,
});

const times = (count: number, over: Partial<HeatRow>) => Array.from({ length: count }, () => over);

describe('effect of a setting', () => {
  test('is the difference, with an interval that narrows with heats', () => {
    const of = (count: number) =>
      settingEffect([...driven('a', ...times(count, {})), ...driven('b', ...times(count, { y: 1.77 }))], context());
    expect(of(1).effect).toBeCloseTo(-0.03, 9);
    const half = ({ interval }: ReturnType<typeof of>) => ((interval?.high as number) - (interval?.low as number)) / 2;
    // z sqrt(2 (tau^2 + v) / m), with tau as it is without the weights of the club model, and z the 95 % quantile of the
    // normal distribution (SciPy 1.17.1, norm.ppf).
    expect(half(of(1))).toBeCloseTo(1.6448536269514722 * Math.sqrt((2 * (0.008 ** 2 + 0.004 ** 2)) / 0.9125), 6);
    expect(half(of(4))).toBeCloseTo(half(of(1)) / 2, 9);
    expect(of(1).verdict).toBe('faster');
    expect(of(1).secondsPerLap).toBeCloseTo(Math.exp(1.8) * (Math.exp(-0.03) - 1), 9);
  });

  test.each([
    [4, 0.03, 'slower', 0],
    [4, -0.03, 'faster', 0],
    [8, 0.001, 'noDifferenceSeen', 0],
    [1, 0.001, 'notEnoughLaps', 1],
    [1, 0.012, 'notEnoughLaps', 1],
  ] as const)('%i heats each, %f apart: %s', (count, apart, verdict, least) => {
    const result = settingEffect(
      [...driven('a', ...times(count, {})), ...driven('b', ...times(count, { y: 1.8 + apart }))],
      context(),
    );
    expect(result.verdict).toBe(verdict);
    expect(result.moreHeatsEach).toBeGreaterThanOrEqual(least);
    if (least === 0) expect(result.moreHeatsEach).toBe(0);
    expect(result.heats).toEqual({ a: count, b: count });
  });

  test('the heats it asks for are enough to see what is worth knowing', () => {
    const pair = (count: number) =>
      settingEffect([...driven('a', ...times(count, {})), ...driven('b', ...times(count, { y: 1.801 }))], context());
    const more = pair(1).moreHeatsEach;
    expect(pair(1 + more).verdict).toBe('noDifferenceSeen');
    expect(pair(more).verdict).toBe('notEnoughLaps');
  });

  test('is not the effect of lanes: compared on the same lane, or with the lanes taken off', () => {
    const [first, third] = [
      { y: 1.79, lane: 1 },
      { y: 1.81, lane: 3 },
    ];
    const crossed = settingEffect([...driven('a', first, third), ...driven('b', third, first)], context());
    expect(crossed.effect).toBeCloseTo(0, 12);
    const apart = settingEffect([...driven('a', first), ...driven('b', third)], context());
    expect(apart.effect).toBeCloseTo(0, 12);
    const width = ({ interval }: typeof apart) => (interval?.high as number) - (interval?.low as number);
    const same = settingEffect([...driven('a', first), ...driven('b', first)], context());
    expect(width(apart)).toBeGreaterThan(width(same));
    const unknown = settingEffect([...driven('a', first), ...driven('b', third)], context({ lane: () => null }));
    expect(width(unknown)).toBeGreaterThan(width(apart));
  });

  test('is not the drift of the night, which the other drivers show', () => {
    const slope = 0.03;
    const at = (startS: number, over: Partial<HeatRow>) =>
      heat({ startS, ...over, y: (over.y ?? 1.8) + slope * driftAt(startS) });
    const night = ['Grace', 'Linus', 'Alan', 'Edsger', 'Barbara', 'Donald'].flatMap((driver, i) =>
      [0, 1500, 3000, 5000, 7000].map((startS) => at(startS, { driver, y: 1.7 + 0.02 * i })),
    );
    const heats = [0, 600].map((startS) => ({ setting: 'a' as const, row: at(startS, {}) }));
    const later = [6000, 7200].map((startS) => ({ setting: 'b' as const, row: at(startS, {}) }));
    const blind = settingEffect([...heats, ...later], context());
    const seeing = settingEffect([...heats, ...later], context({ night }));
    expect(blind.effect).toBeGreaterThan(0.015);
    expect(Math.abs(seeing.effect)).toBeLessThan(0.004);
    expect(driftSeenByOthers(night, new Set(), ({ y }) => y).perUnit).toBeCloseTo(slope, 2);
    // In the order a, b, b, a drift matters little even to the blind.
    const [a1, a2] = [heats[0], { setting: 'a' as const, row: at(7200, {}) }];
    const between = [2000, 2600].map((startS) => ({ setting: 'b' as const, row: at(startS, {}) }));
    expect(Math.abs(settingEffect([a1 as never, ...between, a2], context()).effect)).toBeLessThan(0.008);
  });

  test('of one setting alone is not known', () => {
    const result = settingEffect(driven('a', {}, {}), context());
    expect(result).toMatchObject({ effect: 0, interval: null, verdict: 'notEnoughLaps', heats: { a: 2, b: 0 } });
    expect(settingEffect([], context()).moreHeatsEach).toBeGreaterThan(0);
  });

  test('b against a is a against b the other way round', () => {
    const y = fc.double({ min: 1.7, max: 1.9, noNaN: true });
    const heats = fc.array(
      fc.record({ y, lane: fc.integer({ min: 1, max: 3 }), v: fc.double({ min: 1e-6, max: 1e-4, noNaN: true }) }),
      { minLength: 1, maxLength: 6 },
    );
    fc.assert(
      fc.property(heats, heats, (one, two) => {
        const forward = settingEffect([...driven('a', ...one), ...driven('b', ...two)], context());
        const backward = settingEffect([...driven('b', ...one), ...driven('a', ...two)], context());
        expect(backward.effect).toBeCloseTo(-forward.effect, 9);
        expect(backward.interval?.high).toBeCloseTo(-(forward.interval?.low as number), 9);
      }),
    );
  });

  test('whatever the rows hold, numbers come out', () => {
    const any = fc.record<Partial<HeatRow>>({
      y: fc.oneof(fc.double(), fc.constant(1.8)),
      v: fc.double(),
      startS: fc.double(),
      lane: fc.nat(5),
    });
    fc.assert(
      fc.property(fc.array(any), fc.array(any), fc.double(), (one, two, tau) => {
        const night = one.map((over) => heat({ ...over, driver: 'Grace' }));
        const result = settingEffect([...driven('a', ...one), ...driven('b', ...two)], context({ tau, night }));
        const numbers = [
          result.effect,
          result.secondsPerLap,
          result.moreHeatsEach,
          result.interval?.low ?? 0,
          result.interval?.high ?? 0,
        ];
        expect(numbers.some(Number.isNaN)).toBe(false);
        expect(Number.isFinite(result.effect)).toBe(true);
      }),
    );
  });
});

describe('crashes with a setting', () => {
  const count = (crashes: number, laps: number): CrashCount[] => [
    { night: 1, heat: '1', driver: 'Ada', carClass: 'GT', crashes, laps, lossesS: [] },
  ];

  test('are compared with what chance would do', () => {
    const many = crashDifference(count(60, 400), count(20, 400), 1);
    expect(many.per100Laps).toBeCloseTo(-10, 0);
    expect(many.interval.high).toBeLessThan(0);
    expect(many.chanceFewer).toBe(1);
    const few = crashDifference(count(3, 20), count(1, 20), 1);
    expect(few.interval.low).toBeLessThan(0);
    expect(few.interval.high).toBeGreaterThan(0);
    expect(few.chanceFewer).toBeGreaterThan(0.7);
  });

  test('give the same answer for the same seed, and about the same for another', () => {
    const of = (seed: number) => crashDifference(count(3, 60), count(5, 60), seed);
    expect(of(1)).toEqual(of(1));
    expect(of(1)).not.toEqual(of(2));
    expect(of(1).per100Laps).toBeCloseTo(of(2).per100Laps, 0);
  });

  test('need no laps and mind no nonsense', () => {
    const { per100Laps, interval } = crashDifference([], [...count(5, 3), ...count(Number.NaN, 10)], 1);
    expect(Math.abs(per100Laps)).toBeLessThan(5);
    expect(interval.low).toBeLessThan(-80);
  });
});
