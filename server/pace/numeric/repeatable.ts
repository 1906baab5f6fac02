/**
 * Functions that give the same bits on every machine: they use + - * / and the square root alone, which IEEE 754 rounds
 * exactly, while `Math.exp`, `**` and their like may differ in the last bit between engines. What is drawn and solved
 * with them can be drawn and solved again elsewhere, whatever it is rounded to.
 */

const ln2High = 0.6931471803691238; // 32 bits: times a small whole number it is exact.
const ln2Low = 1.9082149292705877e-10;

/** 2^-1074 to 2^1023. */
const powersOfTwo = new Float64Array(2098);
for (let k = 0, power = 1; k <= 1023; k += 1, power *= 2) powersOfTwo[k + 1074] = power;
for (let k = 0, power = 1; k <= 1074; k += 1, power /= 2) powersOfTwo[1074 - k] = power;
const powerOfTwo = (k: number) => powersOfTwo[k + 1074] as number;

/** e to the power of x, within about 2 units of the last place: the remainder after whole powers of two, by its series. */
export function exp(x: number): number {
  if (x !== x) return x;
  if (x > 709.78) return Number.POSITIVE_INFINITY;
  if (x < -745.2) return 0;
  const k = Math.round(x * 1.4426950408889634);
  const r = x - k * ln2High - k * ln2Low;
  let sum = 1 + (r / 13) * (1 + r / 14);
  sum = 1 + r * (1 / 11) * (1 + r * (1 / 12) * sum);
  sum = 1 + r * (1 / 9) * (1 + r * (1 / 10) * sum);
  sum = 1 + r * (1 / 7) * (1 + r * (1 / 8) * sum);
  sum = 1 + r * (1 / 5) * (1 + r * (1 / 6) * sum);
  sum = 1 + r * (1 / 3) * (1 + r * (1 / 4) * sum);
  sum = 1 + r * (1 + r * (1 / 2) * sum);
  if (k > 1000) return sum * powerOfTwo(k - 30) * powerOfTwo(30);
  if (k < -1000) return sum * powerOfTwo(k + 100) * powerOfTwo(-100);
  return sum * powerOfTwo(k);
}

const real = new Float64Array(1);
const words = new Uint32Array(real.buffer);
real[0] = 1;
const high = words[1] === 0 ? 0 : 1;

/** Natural logarithm of x, within about 2 units of the last place; minus infinity of 0, NaN below. */
export function log(x: number): number {
  if (!(x > 0)) return x === 0 ? Number.NEGATIVE_INFINITY : Number.NaN;
  if (x === Number.POSITIVE_INFINITY) return x;
  const tiny = x < 2.3e-308;
  real[0] = tiny ? x * 18014398509481984 : x; // 2^54
  const top = words[high] as number;
  let e = (top >>> 20) - 1023 - (tiny ? 54 : 0);
  words[high] = (top & 0xfffff) | 0x3ff00000;
  let m = real[0];
  if (m > 1.4142135623730951) {
    m /= 2;
    e += 1;
  }
  // ln m = 2 artanh s, s at most 0.172.
  const s = (m - 1) / (m + 1);
  const z = s * s;
  let sum = 1 / 21 + z * (1 / 23);
  sum = 1 / 17 + z * (1 / 19 + z * sum);
  sum = 1 / 13 + z * (1 / 15 + z * sum);
  sum = 1 / 9 + z * (1 / 11 + z * sum);
  sum = 1 / 5 + z * (1 / 7 + z * sum);
  sum = 1 / 3 + z * sum;
  return e * ln2High + (e * ln2Low + 2 * s + 2 * s * z * sum);
}

/**
 * Quantile of the standard normal distribution. Algorithm AS 241, PPND16 (M. J. Wichura, Applied Statistics 37, 1988): about
 * 16 digits.
 *
 * @param p from 0 to 1; at the ends infinite
 */
export function normalQuantile(p: number): number {
  const q = p - 0.5;
  if (Math.abs(q) <= 0.425) {
    const r = 0.180625 - q * q;
    return (q * polynomial(centralTop, r)) / polynomial(centralBottom, r);
  }
  const tail = q < 0 ? p : 1 - p;
  if (!(tail > 0)) return tail === 0 ? q * Number.POSITIVE_INFINITY : Number.NaN;
  const r = Math.sqrt(-log(tail));
  const far = r > 5;
  const x = far ? polynomial(farTop, r - 5) / polynomial(farBottom, r - 5) : near(r - 1.6);
  return q < 0 ? -x : x;
}

const near = (r: number) => polynomial(nearTop, r) / polynomial(nearBottom, r);

/** Of degree 7, coefficients from the highest power down. */
function polynomial(coefficients: readonly number[], x: number): number {
  let sum = coefficients[0] as number;
  for (let i = 1; i < 8; i += 1) sum = sum * x + (coefficients[i] as number);
  return sum;
}

const centralTop = [
  2509.0809287301226727, 33430.575583588128105, 67265.770927008700853, 45921.953931549871457, 13731.693765509461125,
  1971.5909503065514427, 133.14166789178437745, 3.387132872796366608,
];
const centralBottom = [
  5226.495278852854561, 28729.085735721942674, 39307.89580009271061, 21213.794301586595867, 5394.1960214247511077,
  687.1870074920579083, 42.313330701600911252, 1,
];
const nearTop = [
  7.7454501427834140764e-4, 0.0227238449892691845833, 0.24178072517745061177, 1.27045825245236838258,
  3.64784832476320460504, 5.7694972214606914055, 4.6303378461565452959, 1.42343711074968357734,
];
const nearBottom = [
  1.05075007164441684324e-9, 5.475938084995344946e-4, 0.0151986665636164571966, 0.14810397642748007459,
  0.68976733498510000455, 1.6763848301838038494, 2.05319162663775882187, 1,
];
const farTop = [
  2.01033439929228813265e-7, 2.71155556874348757815e-5, 0.0012426609473880784386, 0.026532189526576123093,
  0.29656057182850489123, 1.7848265399172913358, 5.4637849111641143699, 6.6579046435011037772,
];
const farBottom = [
  2.04426310338993978564e-15, 1.4215117583164458887e-7, 1.8463183175100546818e-5, 7.868691311456132591e-4,
  0.0148753612908506148525, 0.13692988092273580531, 0.59983220655588793769, 1,
];
