import { describe, expect, test } from 'vitest';
import { betaQuantile, logGamma } from '../../server/pace/numeric/beta.ts';
import { chiSquareQuantile, gammaQuantile, studentQuantile } from '../../server/pace/numeric/gamma.ts';
import {
  lag1Correlation,
  mean,
  median,
  oneWay,
  quantileOfSorted,
  standardDeviation,
} from '../../server/pace/numeric/moments.ts';
import { normalCdf, normalDensity } from '../../server/pace/numeric/normal.ts';
import { normalQuantile } from '../../server/pace/numeric/repeatable.ts';
import { csvColumns, references } from '../helpers/pace-references.ts';

/** Matching significant digits, as NIST counts them. */
const digits = (found: number, certified: string | number) => {
  const expected = Number(certified);
  const off = Math.abs(found - expected) / (expected === 0 ? 1 : Math.abs(expected));
  return off === 0 ? 16 : -Math.log10(off);
};
const column = (name: string, label: string) => (csvColumns(`nist_${name.toLowerCase()}.csv`)[label] ?? []).map(Number);

// Source: NIST Statistical Reference Datasets, univariate summary statistics; digits as `nist_targets` states them.
describe('means and spreads of hard numbers (NIST)', () => {
  test.each(Object.keys(references.nist_univariate))('%s', (name) => {
    const expected = references.nist_univariate[name];
    const y = column(name, 'y');
    expect(y).toHaveLength(expected.n);
    // As times are kept: whole numbers, here of the last decimal place. No digit is lost before the first sum then.
    const scale = 10 ** Math.max(...y.map((value) => (String(value).split('.')[1] ?? '').length));
    const whole = y.map((value) => Math.round(value * scale));
    expect(digits(mean(whole) / scale, expected.exact_mean)).toBeGreaterThanOrEqual(13);
    expect(digits(standardDeviation(whole) / scale, expected.exact_sd_25_digits)).toBeGreaterThanOrEqual(13);
    expect(digits(lag1Correlation(whole), expected.certified_lag1)).toBeGreaterThanOrEqual(13);

    // Tenths are no binary fractions. In exact arithmetic the doubles nearest to the numbers of NumAcc3 and NumAcc4 have a
    // standard deviation that agrees to 9.46 and 8.25 digits; no program that reads them as doubles can do better.
    expect(digits(mean(y), expected.exact_mean)).toBeGreaterThanOrEqual(13);
    const kept = { NumAcc3: 9.4, NumAcc4: 8.2 }[name] ?? 13;
    expect(digits(standardDeviation(y), expected.exact_sd_25_digits)).toBeGreaterThanOrEqual(kept);
  });
});

// Source: NIST Statistical Reference Datasets, analysis of variance.
describe('analysis of variance (NIST)', () => {
  test.each([
    ['SiRstv', 12],
    ['AtmWtAg', 8],
    ['SmLs01', 12],
    ['SmLs02', 12],
    ['SmLs04', 8],
    ['SmLs05', 8],
    ['SmLs07', 2],
    ['SmLs08', 2],
  ] as const)('%s', (name, wanted) => {
    const expected = references.nist_anova[name];
    const treatment = column(name, 'treatment');
    const y = column(name, 'y');
    const groups = [...new Set(treatment)].map((group) => y.filter((_, i) => treatment[i] === group));
    const found = oneWay(groups);
    expect([found.dfBetween, found.dfWithin]).toEqual([expected.df_between, expected.df_within]);
    expect(digits(found.f, expected.F)).toBeGreaterThanOrEqual(wanted);
    expect(digits(found.ssBetween, expected.SS_between)).toBeGreaterThanOrEqual(wanted);
    expect(digits(found.ssWithin, expected.SS_within)).toBeGreaterThanOrEqual(wanted);
  });
});

// Source: R 4.2.2, printed with ten digits.
describe('distributions (R)', () => {
  const r = references.distributions_from_R;
  const quantiles = (name: string, of: (p: number) => number) =>
    (r.p as number[]).forEach((p, i) => {
      expect(Math.abs(of(p) - r[name][i]), `${name} ${p}`).toBeLessThanOrEqual(
        1e-9 * Math.max(Math.abs(r[name][i]), 1e-2),
      );
    });

  test('quantiles', () => {
    quantiles('qnorm', normalQuantile);
    quantiles('qt_df3', (p) => studentQuantile(p, 3));
    quantiles('qt_df10', (p) => studentQuantile(p, 10));
    quantiles('qchisq_df5', (p) => chiSquareQuantile(p, 5));
    quantiles('qbeta_2.5_30.5', (p) => betaQuantile(p, 2.5, 30.5));
    quantiles('qgamma_shape3_rate2', (p) => gammaQuantile(p, 3, 2));
  });

  test('normal distribution function, far out too', () => {
    const found = [-8, -3, -1, 0, 1, 3].map(normalCdf);
    const expected = r['pnorm_at_-8_-3_-1_0_1_3'] as number[];
    for (const [i, value] of expected.entries()) expect(digits(found[i] as number, value)).toBeGreaterThanOrEqual(9);
  });

  test('interval for a share by the prior of Jeffreys', () => {
    const limits = [0.05, 0.95].map((p) => betaQuantile(p, 3.5, 57.5));
    for (const [i, limit] of limits.entries()) expect(digits(limit, r.jeffreys_90_for_3_of_60[i])).toBeGreaterThan(9);
  });

  test('mean of the best 40 % of a normal distribution', () => {
    expect(-normalDensity(normalQuantile(0.4)) / 0.4).toBeCloseTo(r.asymptotic_best_40pc, 9);
  });

  // (n - 1)! and sqrt(pi) are exact.
  test('log gamma at whole and half numbers', () => {
    expect(logGamma(0.5)).toBeCloseTo(Math.log(Math.PI) / 2, 13);
    let factorial = 0;
    for (let n = 1; n <= 100; n++) {
      expect(digits(Math.exp(logGamma(n) - factorial), 1)).toBeGreaterThan(12);
      factorial += Math.log(n);
    }
  });
});

// Source: base R 4.2.2.
test('median and quantiles of laps with crashes (R)', () => {
  const r = references.robust_from_R;
  expect(mean(r.x)).toBeCloseTo(r.mean, 8);
  expect(median(r.x)).toBeCloseTo(r.median, 9);
  const sorted = [...(r.x as number[])].sort((a, b) => a - b);
  expect([0.1, 0.5, 0.9].map((p) => quantileOfSorted(sorted, p))).toEqual(
    (r.quantile_type7_10_50_90 as number[]).map((value) => expect.closeTo(value, 9)),
  );
  const middle = median(r.x);
  expect(1.4826 * median((r.x as number[]).map((x) => Math.abs(x - middle)))).toBeCloseTo(r['mad_x1.4826'], 9);
});
