import { describe, expect, test } from 'vitest';
import {
  betaDraw,
  fillNormals,
  gammaDraw,
  geometricDraw,
  openUnit,
  randomFor,
} from '../../server/pace/numeric/draws.ts';
import { exp, log, normalQuantile } from '../../server/pace/numeric/repeatable.ts';
import type { Starter } from '../../server/pace/pace-fit.ts';
import { expectedLaps, wholeLapsIn } from '../../server/pace/renewal.ts';
import { drawRuns, lapsIn, timesFor } from '../../server/pace/score-draws.ts';
import { randomFrom } from '../../server/shared/random.ts';
import { driveFor, driveLaps, randomCars, starterOf, wholeLaps } from '../helpers/lap-by-lap.ts';
import { references } from '../helpers/pace-references.ts';

const moments = (list: ArrayLike<number>) => {
  const values = Array.from(list);
  const mean = values.reduce((sum, x) => sum + x, 0) / values.length;
  return { mean, variance: values.reduce((sum, x) => sum + (x - mean) ** 2, 0) / (values.length - 1) };
};

type Pair = [ReturnType<typeof moments>, ReturnType<typeof moments>];

/** Within so many standard errors of a mean over n draws. */
const near = (found: number, expected: number, sd: number, n: number, errors = 4.5) =>
  expect(Math.abs(found - expected), `${found} for ${expected}`).toBeLessThan((errors * sd) / Math.sqrt(n));

const field = (seed: number, count: number) => randomCars(randomFrom(seed), count).map(starterOf);

describe('repeatable functions', () => {
  test('exp and log agree with the engine to the last places', () => {
    const random = randomFrom(3);
    let [expError, logError] = [0, 0];
    for (let i = 0; i < 50_000; i += 1) {
      const x = (random.unit() - 0.5) * (i % 2 ? 1400 : 4);
      const y = Math.exp(x);
      expError = Math.max(expError, Math.abs(exp(x) - y) / y);
      logError = Math.max(logError, Math.abs(log(y) - Math.log(y)) / Math.max(0.1, Math.abs(x)));
    }
    expect(expError).toBeLessThanOrEqual(4.5e-16);
    expect(logError).toBeLessThanOrEqual(4.5e-16);
    expect([exp(0), exp(-800), exp(800), log(1), log(0)]).toEqual([1, 0, Infinity, 0, -Infinity]);
    expect([exp(Number.NaN), log(-1), log(Number.NaN)]).toEqual([Number.NaN, Number.NaN, Number.NaN]);
  });

  // R 4.2.2: qnorm.
  test('normal quantiles are those of R', () => {
    const { p, qnorm } = references.distributions_from_R;
    for (const [i, chance] of p.entries()) expect(normalQuantile(chance)).toBeCloseTo(qnorm[i], 8);
    expect(normalQuantile(0)).toBe(-Infinity);
  });
});

describe('draws', () => {
  const n = 60_000;

  /** Shares below R's quantiles are R's probabilities. */
  const sharesAre = (values: readonly number[], quantiles: readonly number[]) => {
    for (const [i, p] of (references.distributions_from_R.p as number[]).entries()) {
      const below = values.filter((x) => x <= (quantiles[i] as number)).length / n;
      near(below, p, Math.sqrt(p * (1 - p)), n);
    }
  };

  // R 4.2.2: qgamma, qbeta. Means and variances: shape/rate, shape/rate^2; a/(a+b), ab/((a+b)^2 (a+b+1)).
  test('gamma and beta numbers have the quantiles of R and their exact moments', () => {
    const random = randomFor(1, 'gamma');
    const gammas = Array.from({ length: n }, () => gammaDraw(random, 3) / 2);
    sharesAre(gammas, references.distributions_from_R.qgamma_shape3_rate2);
    near(moments(gammas).mean, 1.5, Math.sqrt(0.75), n);
    const betas = Array.from({ length: n }, () => betaDraw(random, 2.5, 30.5));
    sharesAre(betas, references.distributions_from_R['qbeta_2.5_30.5']);
    const [mean, variance] = [2.5 / 33, (2.5 * 30.5) / (33 ** 2 * 34)];
    near(moments(betas).mean, mean, Math.sqrt(variance), n);
    expect(moments(betas).variance / variance).toBeCloseTo(1, 1);
    const few = Array.from({ length: n }, () => gammaDraw(random, 0.3));
    near(moments(few).mean, 0.3, Math.sqrt(0.3), n);
  });

  test('geometric numbers have mean 1/p and variance (1-p)/p^2', () => {
    const random = randomFor(2, 'geometric');
    for (const p of [0.6, 0.05, 1e-5]) {
      const tries = Array.from({ length: n }, () => geometricDraw(openUnit(random), p));
      expect(Math.min(...tries)).toBeGreaterThanOrEqual(1);
      near(moments(tries).mean, 1 / p, Math.sqrt(1 - p) / p, n);
    }
  });

  test('stratified normal numbers have one in each slice, in an order without pattern', () => {
    const z = new Float64Array(4000);
    fillNormals(randomFor(3, 'normal'), z);
    const sorted = z.toSorted();
    for (const [i, x] of sorted.entries()) {
      if (i > 0) expect(x).toBeGreaterThanOrEqual(normalQuantile(i / 4000));
      if (i < 3999) expect(x).toBeLessThanOrEqual(normalQuantile((i + 1) / 4000));
    }
    const ranks = Array.from(z, (_, i) => i);
    const along = ranks.reduce((sum, i) => sum + (i - 1999.5) * (z[i] as number), 0) / 4000 / 1154.7;
    expect(Math.abs(along)).toBeLessThan(4 / Math.sqrt(4000));
    const next = ranks.slice(1).reduce((sum, i) => sum + (z[i] as number) * (z[i - 1] as number), 0) / 4000;
    expect(Math.abs(next)).toBeLessThan(4 / Math.sqrt(4000));
  });

  test('numbers of one name are not those of another', () => {
    const first = (seed: number, name: string) => randomFor(seed, name).uint32();
    const all = [first(1, 'A'), first(1, 'B'), first(2, 'A'), first(2, 'B'), first(1, 'AB'), first(1, '')];
    expect(new Set(all).size).toBe(all.length);
    expect(first(1, 'A')).toBe(first(1, 'A'));
  });
});

describe('laps in a time', () => {
  const checks = references.renewal_theory.exact_Erlang_checks as {
    erlang_shape: number;
    mean_lap: number;
    T: number;
    exact_mean_whole_laps: number;
    exact_var_whole_laps: number;
    asymptotic_mean: number;
    asymptotic_var_plus_const: number;
  }[];

  // Exact: N(T) = floor(Poisson(kT/mu)/k) for Erlang laps, from R's dpois.
  test.each(checks)('whole laps driven one by one: shape $erlang_shape, $T s', (check) => {
    const random = randomFor(5, `erlang ${check.erlang_shape} ${check.T}`);
    const lap = () => (gammaDraw(random, check.erlang_shape) * check.mean_lap) / check.erlang_shape;
    const n = 8000;
    const laps = moments(Array.from({ length: n }, () => wholeLaps(check.T, lap)));
    const variance = check.exact_var_whole_laps;
    near(laps.mean, check.exact_mean_whole_laps, Math.sqrt(variance), n);
    // Variance of a sample variance, with room for heavy tails: half of the runs differ by a whole lap at most.
    expect(Math.abs(laps.variance - variance)).toBeLessThan(5 * variance * Math.sqrt((2 + 1 / variance) / n));
  });

  test.each(checks)('the closed form is the asymptotic one: shape $erlang_shape, $T s', (check) => {
    const variance = check.mean_lap ** 2 / check.erlang_shape;
    const laps = wholeLapsIn(check.T, { mean: check.mean_lap, variance });
    expect(laps.mean).toBeCloseTo(check.asymptotic_mean, 9);
    expect(laps.variance).toBeCloseTo(check.asymptotic_var_plus_const, 9);
  });

  test('drawn scores are those of heats driven lap by lap, and of the closed form', () => {
    const n = 10_000;
    const random = randomFrom(21);
    const ratioOf = (a: { variance: number }, b: { variance: number }) => Math.sqrt(a.variance / b.variance);
    for (const car of randomCars(randomFrom(4), 6)) {
      const starter = { ...starterOf(car), nu: 1.9, omega: 0.2 };
      const driver = { ...car, lossS: () => Math.exp(1.9 + 0.2 * random.normal()) };
      const laps = new Float64Array(n);
      const runs = drawRuns(starter, { kind: 'time', durationMs: 150_000 }, n, randomFor(1, car.driver));
      lapsIn(runs, 150, laps, new Float64Array(n));
      const [drawn, driven] = [laps, Array.from({ length: n }, () => driveFor(driver, 150, random))].map(
        moments,
      ) as Pair;
      near(drawn.mean, driven.mean, Math.sqrt(2 * driven.variance), n);
      expect(Math.abs(ratioOf(drawn, driven) - 1)).toBeLessThan(0.05);
      const closed = expectedLaps(starter, 150);
      expect(Math.abs(drawn.mean / closed.mean - 1)).toBeLessThan(0.003);
      expect(Math.abs(ratioOf(drawn, closed) - 1)).toBeLessThan(0.06);
      const times = new Float64Array(n);
      timesFor(drawRuns(starter, { kind: 'laps', laps: 25 }, n, randomFor(1, car.driver)), 25, times);
      const [timed, raced] = [times, Array.from({ length: n }, () => driveLaps(driver, 25, random))].map(
        moments,
      ) as Pair;
      near(timed.mean, raced.mean, Math.sqrt(2 * raced.variance), n);
      expect(Math.abs(ratioOf(timed, raced) - 1)).toBeLessThan(0.05);
    }
  });

  test('many crashes drawn together are as many and as long as single ones', () => {
    const n = 8000;
    const starter = {
      ...(field(1, 1)[0] as Starter),
      logPace: 0,
      crash: { alpha: 3e5, beta: 7e5 },
      nu: 1.4,
      omega: 0.25,
    };
    for (const laps of [120, 230, 900, 8000]) {
      const { stopS, firstStop } = drawRuns(starter, { kind: 'laps', laps }, n, randomFor(1, 'many'));
      const lost = Array.from({ length: n }, (_, s) =>
        stopS.slice(firstStop[s], firstStop[s + 1]).reduce((sum, x) => sum + x, 0),
      );
      // A binomial number of lognormal losses, at laps that bound them next to never.
      const loss = { mean: Math.exp(1.4 + 0.25 ** 2 / 2), square: Math.exp(2.8 + 2 * 0.25 ** 2) };
      const variance = laps * (0.3 * loss.square - (0.3 * loss.mean) ** 2);
      near(moments(lost).mean, 0.3 * laps * loss.mean, Math.sqrt(variance), n, 5);
      const together = Math.ceil((0.3 * laps) / 64);
      const coarse = together > 1 ? (together * loss.mean) ** 2 / 6 : 0;
      expect(Math.abs(Math.sqrt(moments(lost).variance / (variance + coarse)) - 1)).toBeLessThan(0.04);
      expect(stopS.length / n).toBeLessThan(66);
    }
  });

  test('a run never rolls back: more time is never fewer laps', () => {
    for (const starter of field(8, 3)) {
      const runs = drawRuns({ ...starter, lapSd: 0.2 }, { kind: 'time', durationMs: 60_000 }, 500, randomFor(1, 'x'));
      const [laps, rate, before] = [new Float64Array(500), new Float64Array(500), new Float64Array(500)];
      for (let timeS = -1; timeS <= 60; timeS += 0.5) {
        lapsIn(runs, timeS, laps, rate);
        expect(laps.every((x, s) => x >= (before[s] as number))).toBe(true);
        before.set(laps);
      }
    }
  });
});
