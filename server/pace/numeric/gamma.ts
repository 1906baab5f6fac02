import { betaQuantile, logGamma } from './beta.ts';

/** Chance that a gamma number of this shape and rate 1 is at most x: the regularised lower incomplete gamma function. */
export function gammaLower(shape: number, x: number): number {
  if (!(x > 0)) return 0;
  return x < shape + 1 ? lowerSeries(shape, x) : 1 - upperFraction(shape, x);
}

/** 1 - `gammaLower`, with its digits kept where it is small. */
export function gammaUpper(shape: number, x: number): number {
  if (!(x > 0)) return 1;
  return x < shape + 1 ? 1 - lowerSeries(shape, x) : upperFraction(shape, x);
}

/** @param p from 0 to 1 */
export function gammaQuantile(p: number, shape: number, rate: number): number {
  if (!(p > 0)) return 0;
  if (p >= 1) return Number.POSITIVE_INFINITY;
  const density = (x: number) => Math.exp((shape - 1) * Math.log(x) - x - logGamma(shape));
  let top = shape + 1;
  while (gammaLower(shape, top) < p) top *= 2;
  return quantileByCdf(p, (x) => gammaLower(shape, x), density, top) / rate;
}

export const chiSquareQuantile = (p: number, df: number) => gammaQuantile(p, df / 2, 0.5);

/** Quantile of Student's t with `df` degrees of freedom, by way of the beta distribution (Abramowitz and Stegun 26.7.1). */
export function studentQuantile(p: number, df: number): number {
  if (p === 0.5) return 0;
  const x = betaQuantile(2 * Math.min(p, 1 - p), df / 2, 0.5);
  const t = Math.sqrt(df * (1 / x - 1));
  return p < 0.5 ? -t : t;
}

/** Where a distribution on positive numbers reaches p: Newton's method, and halving where that would leave the interval. */
function quantileByCdf(p: number, cdf: (x: number) => number, density: (x: number) => number, top: number): number {
  let [from, to] = [0, top];
  let x = (from + to) / 2;
  for (let round = 0; round < 200; round++) {
    const off = cdf(x) - p;
    if (off > 0) to = x;
    else from = x;
    const newton = x - off / density(x);
    const next = newton > from && newton < to ? newton : (from + to) / 2;
    if (Math.abs(next - x) <= 1e-15 * Math.abs(next)) return next;
    x = next;
  }
  return x;
}

const leading = (shape: number, x: number) => Math.exp(shape * Math.log(x) - x - logGamma(shape));

/** Power series; Abramowitz and Stegun 6.5.29. */
function lowerSeries(shape: number, x: number): number {
  let term = 1 / shape;
  let sum = term;
  for (let n = 1; n < 10_000 && term > sum * 1e-17; n++) {
    term *= x / (shape + n);
    sum += term;
  }
  return sum * leading(shape, x);
}

/** Continued fraction by the method of Lentz (W. J. Lentz 1976); Abramowitz and Stegun 6.5.31. */
function upperFraction(shape: number, x: number): number {
  let b = x + 1 - shape;
  let c = 1e300;
  let d = 1 / b;
  let h = d;
  for (let i = 1; i < 10_000; i++) {
    const a = -i * (i - shape);
    b += 2;
    d = 1 / (a * d + b);
    c = b + a / c;
    const factor = c * d;
    h *= factor;
    if (Math.abs(factor - 1) < 1e-16) break;
  }
  return h * leading(shape, x);
}
