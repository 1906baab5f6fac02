import { expect, test } from 'vitest';
import { meanOfLowest } from '../../server/pace/numeric/order-statistics.ts';
import { bestOfConstant, cappedRise } from '../../server/pace/slow-guard.ts';

test('mean of the lowest 8 of 20 standard normal numbers', () => {
  // Computed with R 4.2.2 from the order statistics of the normal distribution (`integrate`).
  expect(meanOfLowest(20, 8)).toBeCloseTo(-0.9282442288, 8);
  expect(bestOfConstant(20, 8)).toBeCloseTo(0.9282442288, 8);
});

test('expected lowest of n standard normal numbers', () => {
  // Exact: n = 2, 3 in closed form (1/sqrt(pi), 3/(2 sqrt(pi))). n = 5 and 10 as tabulated by H. L. Harter, "Expected values
  // of normal order statistics", Biometrika 48, 1961 (1.16296, 1.53875; from memory).
  expect(meanOfLowest(1, 1)).toBeCloseTo(0, 12);
  expect(meanOfLowest(2, 1)).toBeCloseTo(-1 / Math.sqrt(Math.PI), 12);
  expect(meanOfLowest(3, 1)).toBeCloseTo(-3 / (2 * Math.sqrt(Math.PI)), 12);
  expect(meanOfLowest(5, 1)).toBeCloseTo(-1.16296, 5);
  expect(meanOfLowest(10, 1)).toBeCloseTo(-1.53875, 5);
  expect(meanOfLowest(20, 20)).toBeCloseTo(0, 12);
});

test('the best two fifths of very many', () => {
  // Limit: phi(q) / 0.4 at the 40 % quantile q (R 4.2.2: dnorm(qnorm(0.4)) / 0.4).
  expect(meanOfLowest(1000, 400)).toBeCloseTo(-0.9658563337, 2);
});

test.each([
  { low: 7, calculated: 9.5, result: 9.5 },
  { low: 7, calculated: 12, result: 11 },
  { low: 7, calculated: 11, result: 10.5 },
  { low: 7, calculated: 16, result: 12 },
  { low: 7, calculated: 5, result: 5 },
])('a golfer of $calculated whose low index is $low is taken for $result', ({ low, calculated, result }) => {
  // World Handicap System, Rules of Handicapping 5.8: soft cap 3.0, beyond it half; hard cap 5.0. Examples as printed by
  // clubs and a newsletter of a national union, April 2023.
  expect(cappedRise(low, calculated, { soft: 3, hard: 5 })).toBeCloseTo(result, 12);
});
