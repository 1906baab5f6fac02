import { mayBeCongruentToIdentity } from './congruence.ts';
import type { CountedNight } from './counted-night.ts';
import { balancedSquares, pairsAmong } from './squares.ts';

/** A field in which everybody has as many runs and every heat is full: n drivers, r runs each, H heats of k cars. */
export interface Regular {
  readonly drivers: number;
  readonly runs: number;
  readonly heats: number;
  readonly cars: number;
}

/**
 * Published proofs that the least sum of squares that counting allows is not reached, for cases that the computed tests
 * of {@link opponentsDesignBound} leave open. [drivers, cars, heats], source.
 */
const published: readonly (readonly [drivers: number, cars: number, heats: number, source: string])[] = [
  [15, 5, 21, 'no (15,21,7,5,2) design: H. Nandi, Sankhya 7 (1945); quoted by S. Prestwich (2001)'],
  [22, 8, 33, 'no (22,33,12,8,4) design: R. Bilous, C. Lam and others, J. Combin. Des. 15 (2007)'],
  [
    32,
    6,
    32,
    'no configuration 32_6: H. Gropp in C. Colbourn, J. Dinitz: Handbook of Combinatorial Designs (from memory)',
  ],
  [33, 6, 33, 'no configuration 33_6: P. Kaski, P. Östergård, Australas. J. Combin. 38 (2007) (from memory)'],
];

/** Largest field that is computed: the time for a determinant grows with the cube. */
const mostDrivers = 64;

/**
 * Raises the least sum of squared meetings that counting allows where a proof says that no design reaches it.
 *
 * Let a driver meet r (k - 1) others, q times or once more each, with remainder a. As every driver's meetings have the
 * same sum, what differs from the evenest table of meetings comes in closed alternating trails of pairs. So
 * - a = 0 (all pairs alike): next after the least sum S is S + 4, where four pairs in a ring differ by +1, -1, +1, -1;
 *   S + 6 comes next;
 * - a = 1, or a = n - 2 with q + 1 for q: the odd pairs are a perfect matching; next is S + 2, where the pair x y differs
 *   the other way and x and y have two odd pairs each, all with different drivers; S + 4 comes next.
 * Each is one table of meetings up to the names of drivers, so one test decides about each.
 *
 * @returns the proved bound, `counted` itself where there is no proof
 */
export function opponentsDesignBound(night: CountedNight, counted: number): number {
  const field = regularField(night);
  if (field === null) return counted;
  const { drivers: n, runs, heats, cars } = field;
  if (counted !== balancedSquares(heats * pairsAmong(cars), pairsAmong(n))) return counted;
  const odd = (runs * (cars - 1)) % (n - 1);
  const step = odd === 0 ? 4 : 2;
  const proved = published.some(([d, c, h]) => d === n && c === cars && h === heats);
  const computable = heats === n && n >= 6 && n <= mostDrivers && (odd === 0 || odd === 1 || odd === n - 2);
  const possible = (which: 'least' | 'next') => !computable || mayBeCongruentToIdentity(meetingsTable(field, which));
  if (!proved && possible('least')) return counted;
  return possible('next') ? counted + step : counted + step + 2;
}

function regularField(night: CountedNight): Regular | null {
  const [runs = 0] = night.nextRuns;
  const [cars = 0] = night.nextSizes;
  const alike = night.nextRuns.every((r) => r === runs) && night.nextSizes.every((size) => size === cars);
  const drivers = night.nextRuns.length;
  if (!alike || night.done.length > 0 || cars < 2 || drivers <= cars) return null;
  return { drivers, runs, heats: night.next.length, cars };
}

/**
 * N Nt: meetings of every two drivers, and runs on the diagonal, for a remainder of 0, 1 or n - 2: the one table with the
 * least sum of squares, or the one after it.
 */
export function meetingsTable({ drivers: n, runs, cars }: Regular, which: 'least' | 'next'): number[][] {
  const q = Math.floor((runs * (cars - 1)) / (n - 1));
  const odd = (runs * (cars - 1)) % (n - 1);
  const usual = odd === n - 2 ? q + 1 : q;
  const table = Array.from({ length: n }, (_, i) => Array.from({ length: n }, (_, j) => (i === j ? runs : usual)));
  const add = (a: number, b: number, by: number) => {
    for (const [i, j] of [
      [a, b],
      [b, a],
    ] as const) {
      const row = table[i];
      if (row) row[j] = (row[j] ?? 0) + by;
    }
  };
  if (odd === 0) {
    if (which === 'next')
      for (const [a, b, by] of [
        [0, 1, 1],
        [1, 2, -1],
        [2, 3, 1],
        [3, 0, -1],
      ] as const)
        add(a, b, by);
    return table;
  }
  const by = odd === 1 ? 1 : -1;
  const paired = which === 'next' ? 6 : 0;
  if (which === 'next') {
    add(0, 1, -by);
    for (const [a, b] of [
      [0, 2],
      [0, 3],
      [1, 4],
      [1, 5],
    ] as const)
      add(a, b, by);
  }
  for (let d = paired; d < n; d += 2) add(d, d + 1, by);
  return table;
}
