/**
 * Dense symmetric systems by Cholesky's decomposition. Matrices are square, row by row in one Float64Array, and only their
 * lower triangles are read. Method: G. H. Golub, C. F. Van Loan, "Matrix Computations", 4th ed., sections 4.2 and 3.1.
 */

/** Thrown where a matrix is not positive definite; a programmer's error, as callers make theirs so. */
export class NotPositiveDefinite extends RangeError {}

/**
 * Writes L of A = L Lᵀ over the lower triangle of `a`.
 * @returns ln det A
 * @throws NotPositiveDefinite
 */
export function cholesky(a: Float64Array, n: number): number {
  let logDet = 0;
  for (let i = 0; i < n; i++) {
    const row = i * n;
    for (let j = 0; j <= i; j++) {
      const other = j * n;
      let sum = a[row + j] as number;
      for (let k = 0; k < j; k++) sum -= (a[row + k] as number) * (a[other + k] as number);
      if (i !== j) a[row + j] = sum / (a[other + j] as number);
      else if (sum > 0) {
        a[row + i] = Math.sqrt(sum);
        logDet += Math.log(sum);
      } else throw new NotPositiveDefinite(`pivot ${i} is ${sum}`);
    }
  }
  return logDet;
}

/** Solves L z = x in place; x starts at `at` and is 0 before its row `from`. */
export function solveLower(l: Float64Array, n: number, x: Float64Array, at = 0, from = 0): void {
  for (let i = from; i < n; i++) {
    const row = i * n;
    let sum = x[at + i] as number;
    for (let k = from; k < i; k++) sum -= (l[row + k] as number) * (x[at + k] as number);
    x[at + i] = sum / (l[row + i] as number);
  }
}

/** Solves Lᵀ z = x in place; x starts at `at`. */
export function solveUpper(l: Float64Array, n: number, x: Float64Array, at = 0): void {
  for (let i = n - 1; i >= 0; i--) {
    const z = (x[at + i] as number) / (l[i * n + i] as number);
    x[at + i] = z;
    const row = i * n;
    for (let k = 0; k < i; k++) x[at + k] = (x[at + k] as number) - (l[row + k] as number) * z;
  }
}

/** Solves A z = x in place, given L. */
export function solve(l: Float64Array, n: number, x: Float64Array, at = 0): void {
  solveLower(l, n, x, at);
  solveUpper(l, n, x, at);
}

/** A⁻¹, whole, given L. */
export function inverse(l: Float64Array, n: number): Float64Array {
  const out = new Float64Array(n * n);
  for (let i = 0; i < n; i++) {
    out[i * n + i] = 1;
    solveLower(l, n, out, i * n, i);
    solveUpper(l, n, out, i * n);
  }
  return out;
}

export function dot(a: Float64Array, b: Float64Array, n: number, atA = 0, atB = 0): number {
  let sum = 0;
  for (let i = 0; i < n; i++) sum += (a[atA + i] as number) * (b[atB + i] as number);
  return sum;
}

/**
 * Which columns of a Gram matrix XᵀX depend linearly on earlier ones, so that their coefficients cannot be told.
 * A column depends when less than `tolerance` of its square is left after projection on those before it.
 */
export function dependentColumns(gram: Float64Array, n: number, tolerance = 1e-9): boolean[] {
  const l = gram.slice();
  const dependent: boolean[] = [];
  for (let i = 0; i < n; i++) {
    const row = i * n;
    const whole = l[row + i] as number;
    let left = whole;
    for (let j = 0; j < i; j++) {
      if (dependent[j]) continue;
      let sum = l[row + j] as number;
      for (let k = 0; k < j; k++) if (!dependent[k]) sum -= (l[row + k] as number) * (l[j * n + k] as number);
      const entry = sum / (l[j * n + j] as number);
      l[row + j] = entry;
      left -= entry * entry;
    }
    dependent.push(!(left > tolerance * whole));
    l[row + i] = Math.sqrt(Math.max(left, 0));
  }
  return dependent;
}
