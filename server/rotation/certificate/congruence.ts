/**
 * A square incidence matrix N with N Nt = M exists only if M is rationally congruent to the identity: its determinant is
 * a square and its Hasse invariants are those of the identity at every prime (Minkowski and Hasse). Where all pairs meet
 * equally often this is the theorem of R. Bruck, H. Ryser and S. Chowla (1949, 1950), where they fall into like groups
 * that of R. Bose and W. Connor (1952).
 *
 * @param matrix symmetric, whole numbers
 * @returns false only where it is proved not congruent; true says nothing
 */
export function mayBeCongruentToIdentity(matrix: readonly (readonly number[])[]): boolean {
  const minors = leadingMinors(matrix);
  if (minors === null) return true;
  const determinant = minors.at(-1) ?? 1n;
  if (!isSquare(determinant)) return false;
  // At other primes all entries of the diagonal form below are units; at 2 the product formula adds nothing new.
  return smallOddPrimes.filter((p) => determinant % p === 0n).every((p) => hasseInvariant(minors, p) === 1);
}

/**
 * Leading minors of order 1 to n by fraction-free elimination (E. Bareiss, 1968); null unless all are above 0, so that a
 * singular matrix is left undecided.
 */
function leadingMinors(matrix: readonly (readonly number[])[]): bigint[] | null {
  const rows = matrix.map((row) => row.map(BigInt));
  const minors: bigint[] = [];
  let divisor = 1n;
  for (const [k, pivotRow] of rows.entries()) {
    const pivot = pivotRow[k] as bigint;
    if (pivot <= 0n) return null;
    minors.push(pivot);
    for (const row of rows.slice(k + 1)) {
      const first = row[k] as bigint;
      for (let j = k + 1; j < row.length; j++) {
        row[j] = (pivot * (row[j] as bigint) - first * (pivotRow[j] as bigint)) / divisor;
      }
    }
    divisor = pivot;
  }
  return minors;
}

/**
 * Product over i < j of the Hilbert symbols (d_i, d_j) at p, for the diagonal form d_i = minor i / minor i-1. The
 * product of all d_i with i < j is minor j-1, and d_j is minor j-1 x minor j up to a square.
 */
function hasseInvariant(minors: readonly bigint[], p: bigint): 1 | -1 {
  let invariant = 1;
  for (const [j, minor] of minors.entries()) {
    const before = j === 0 ? 1n : (minors[j - 1] as bigint);
    invariant *= hilbertSymbol(before, before * minor, p);
  }
  return invariant === 1 ? 1 : -1;
}

/** Hilbert symbol of two numbers above 0 at an odd prime (J.-P. Serre, A Course in Arithmetic, III 1.2). */
export function hilbertSymbol(a: bigint, b: bigint, p: bigint): 1 | -1 {
  const [alpha, u] = splitOff(a, p);
  const [beta, v] = splitOff(b, p);
  let sign = alpha && beta && p % 4n === 3n ? -1 : 1;
  if (beta) sign *= legendreSymbol(u, p);
  if (alpha) sign *= legendreSymbol(v, p);
  return sign === 1 ? 1 : -1;
}

/** Whether p divides a number an odd number of times, and what is left without p. */
function splitOff(value: bigint, p: bigint): [odd: boolean, unit: bigint] {
  let unit = value;
  let odd = false;
  while (unit % p === 0n) {
    unit /= p;
    odd = !odd;
  }
  return [odd, unit];
}

/** 1 for a square modulo the odd prime, -1 for another unit (L. Euler's criterion). */
function legendreSymbol(unit: bigint, p: bigint): 1 | -1 {
  let result = 1n;
  let base = unit % p;
  for (let exponent = (p - 1n) / 2n; exponent > 0n; exponent >>= 1n) {
    if (exponent & 1n) result = (result * base) % p;
    base = (base * base) % p;
  }
  return result === 1n ? 1 : -1;
}

/** Whether a number of 0 or more is a square: integer root by Newton's method from above. */
function isSquare(value: bigint): boolean {
  if (value < 2n) return true;
  let root = 1n << BigInt(Math.ceil(value.toString(2).length / 2));
  for (;;) {
    const next = (root + value / root) >> 1n;
    if (next >= root) return root * root === value;
    root = next;
  }
}

/** Determinants of meetings are products of small numbers; a larger prime left out loses a proof, never makes one. */
const smallOddPrimes = Array.from({ length: 500 }, (_, i) => 2 * i + 3)
  .filter((n) => Array.from({ length: n - 2 }, (_, i) => i + 2).every((d) => d * d > n || n % d !== 0))
  .map(BigInt);
