import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { crashFigures, crashModel } from '../../server/pace/crashes.ts';
import type { CrashCount } from '../../server/pace/heat-row.ts';
import type { DriverRow } from '../../server/pace/lap-row.ts';
import { betaCdf, betaQuantile } from '../../server/pace/numeric/beta.ts';
import { randomFrom } from '../../server/shared/random.ts';

const count = (driver: string, crashes: number, laps: number, over: Partial<CrashCount> = {}): CrashCount => ({
  night: 1,
  heat: '1',
  driver,
  carClass: 'GT',
  crashes,
  laps,
  lossesS: [],
  ...over,
});

const adult = (driver: string): DriverRow => ({ driver, group: 'adult', nightsBefore: 0 });
const mean = ({ alpha, beta }: { alpha: number; beta: number }) => alpha / (alpha + beta);

describe('chance of a crash', () => {
  test('is near what a driver did in many laps and near the group in few', () => {
    const drivers = ['a', 'b', 'c', 'd', 'e', 'f'].map(adult);
    const counts = ['a', 'b', 'c', 'd', 'e'].map((driver, i) => count(driver, 20 + 20 * i, 1000));
    const model = crashModel([...counts, count('f', 2, 5)], drivers);
    expect(mean(model.drivers.get('a')!)).toBeCloseTo(0.02, 2);
    expect(mean(model.drivers.get('e')!)).toBeCloseTo(0.1, 2);
    expect(mean(model.drivers.get('f')!)).toBeLessThan(0.2);
    expect(mean(model.drivers.get('f')!)).toBeGreaterThan(mean(model.newcomer.get('adult')!));
  });

  test('leans more on the group where drivers are alike', () => {
    const worth = (rates: readonly number[]) => {
      const counts = rates.map((rate, i) => count(String(i), rate * 400, 400));
      const { alpha, beta } = crashModel(
        counts,
        rates.map((_, i) => adult(String(i))),
      ).newcomer.get('adult')!;
      return alpha + beta;
    };
    expect(worth([0.05, 0.05, 0.05, 0.05, 0.05])).toBeCloseTo(250, 6);
    expect(worth([0.005, 0.02, 0.05, 0.1, 0.25])).toBeLessThan(60);
  });

  test('of late counts more than of long ago', () => {
    const night = (n: number, crashes: number) => count('a', crashes, 50, { night: n });
    const early = Array.from({ length: 20 }, (_, n) => night(n, n < 10 ? 10 : 0));
    const late = Array.from({ length: 20 }, (_, n) => night(n, n < 10 ? 0 : 10));
    const rate = (counts: CrashCount[]) => mean(crashModel(counts, [adult('a')]).drivers.get('a')!);
    expect(rate(late)).toBeGreaterThan(1.5 * rate(early));
  });

  test('is of the own group; newcomers are like their group, an empty group like everybody', () => {
    const drivers: DriverRow[] = [adult('a'), { driver: 'j', group: 'junior', nightsBefore: 0 }];
    const { newcomer } = crashModel([count('a', 10, 1000), count('j', 100, 1000)], drivers);
    expect(mean(newcomer.get('junior')!)).toBeGreaterThan(4 * mean(newcomer.get('adult')!));
    expect(mean(newcomer.get(null)!)).toBeGreaterThan(mean(newcomer.get('adult')!));
    expect(mean(newcomer.get(null)!)).toBeLessThan(mean(newcomer.get('junior')!));
  });
});

describe('loss', () => {
  test("is the driver's own after many crashes", () => {
    const random = randomFrom(3);
    const losses = (nu: number, n: number) => Array.from({ length: n }, () => Math.exp(nu + 0.4 * random.normal()));
    const counts = [
      count('quick', 200, 3000, { lossesS: losses(1.1, 200) }),
      count('slow', 200, 3000, { lossesS: losses(1.8, 200) }),
      count('rare', 1, 3000, { lossesS: [60] }),
    ];
    const { drivers, pooled } = crashModel(counts, []);
    expect(drivers.get('quick')!.nu).toBeCloseTo(1.1, 1);
    expect(drivers.get('slow')!.nu).toBeCloseTo(1.8, 1);
    expect(drivers.get('rare')!.nu).toBeLessThan(2);
    expect(pooled.omega).toBeCloseTo(0.4, 1);
  });

  test('is shown in seconds a crash and seconds a heat', () => {
    const { per100Laps, secondsPerCrash, secondsPerHeat } = crashFigures(
      { alpha: 5, beta: 95, nu: Math.log(4) },
      0.5,
      20,
    );
    expect(per100Laps.mean).toBeCloseTo(5, 9);
    expect(per100Laps.low).toBeLessThan(5);
    expect(per100Laps.high).toBeGreaterThan(5);
    expect(secondsPerCrash).toBeCloseTo(4 * Math.exp(0.125), 9);
    expect(secondsPerHeat).toBeCloseTo(20 * 0.05 * secondsPerCrash, 9);
  });
});

test('whatever was counted, chances lie between 0 and 1 and losses are numbers', () => {
  const number = fc.oneof(fc.double({ min: 0, max: 50, noNaN: true }), fc.double());
  const anyCount = fc.record<CrashCount>({
    night: fc.integer({ min: 0, max: 30 }),
    heat: fc.constant('1'),
    driver: fc.constantFrom('a', 'b', '__proto__'),
    carClass: fc.constant('GT'),
    crashes: number,
    laps: number,
    lossesS: fc.array(fc.oneof(fc.double({ min: 0.1, max: 30, noNaN: true }), fc.double()), { maxLength: 3 }),
  });
  fc.assert(
    fc.property(fc.array(anyCount, { maxLength: 20 }), (counts) => {
      const { drivers, newcomer, pooled } = crashModel(counts, [adult('a')]);
      for (const rate of [...drivers.values(), ...newcomer.values()]) {
        expect(rate.alpha > 0 && rate.beta > 0).toBe(true);
        const figures = crashFigures(rate, pooled.omega, 20);
        expect(figures.per100Laps.low).toBeLessThanOrEqual(figures.per100Laps.high);
        for (const x of [rate.nu, figures.secondsPerHeat, figures.per100Laps.high])
          expect(Number.isFinite(x)).toBe(true);
      }
    }),
  );
});

test('the quantile of a beta distribution undoes its distribution function', () => {
  const shape = fc.double({ min: 0.1, max: 500, noNaN: true });
  fc.assert(
    fc.property(shape, shape, fc.double({ min: 0.001, max: 0.999, noNaN: true }), (a, b, p) => {
      const x = betaQuantile(p, a, b);
      if (x > 1e-9 && x < 1 - 1e-9) expect(betaCdf(x, a, b)).toBeCloseTo(p, 6);
    }),
  );
});
