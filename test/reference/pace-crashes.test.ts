import { expect, test } from 'vitest';
import { betaCdf, betaQuantile, logBeta, logGamma } from '../../server/pace/numeric/beta.ts';
import { jeffreys } from '../../server/pace/setting-crashes.ts';

test("Jeffreys' 90 % interval for 3 crashes in 60 laps", () => {
  // R 4.2.2: qbeta(c(0.05, 0.95), 3.5, 57.5).
  const { alpha, beta } = jeffreys([
    { night: 1, heat: '1', driver: 'a', carClass: 'c', crashes: 3, laps: 60, lossesS: [] },
  ]);
  expect([alpha, beta]).toEqual([3.5, 57.5]);
  expect(betaQuantile(0.05, alpha, beta)).toBeCloseTo(0.01827950597, 10);
  expect(betaQuantile(0.95, alpha, beta)).toBeCloseTo(0.1128684835, 9);
});

test('quantiles of Beta(2.5, 30.5)', () => {
  // R 4.2.2: qbeta(p, 2.5, 30.5).
  const published = [
    [0.5, 0.06727854225],
    [0.9, 0.1374468789],
    [0.95, 0.162413265],
    [0.975, 0.185719537],
    [0.99, 0.2145913072],
    [0.999, 0.2800181335],
  ] as const;
  for (const [p, x] of published) {
    expect(betaQuantile(p, 2.5, 30.5)).toBeCloseTo(x, 9);
    expect(betaCdf(x, 2.5, 30.5)).toBeCloseTo(p, 8);
  }
});

test('gamma and beta functions where they are known exactly', () => {
  expect(logGamma(11)).toBeCloseTo(Math.log(3628800), 12);
  expect(logGamma(0.5)).toBeCloseTo(Math.log(Math.PI) / 2, 12);
  expect(logGamma(0.1)).toBeCloseTo(2.252712651734206, 12);
  expect(logBeta(3, 4)).toBeCloseTo(-Math.log(60), 12);
  // Beta(1, 1) is even; Beta(2, 1) has the distribution function x^2.
  expect(betaCdf(0.3, 1, 1)).toBeCloseTo(0.3, 14);
  expect(betaCdf(0.3, 2, 1)).toBeCloseTo(0.09, 14);
});
