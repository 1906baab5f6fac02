import fc from 'fast-check';
import { expect, test } from 'vitest';
import { JointNormal } from '../../server/pace/numeric/joint-normal.ts';
import { cholesky, dependentColumns, inverse, NotPositiveDefinite, solve } from '../../server/pace/numeric/matrix.ts';
import { minimising } from '../../server/pace/numeric/minimise.ts';
import { drained } from '../../server/shared/drained.ts';

const entry = fc.double({ min: -3, max: 3, noNaN: true });

test('solving undoes multiplying, and the inverse is one', () => {
  const size = fc.integer({ min: 1, max: 7 });
  const systems = size.chain((n) => fc.tuple(fc.constant(n), fc.array(entry, { minLength: n * n, maxLength: n * n })));
  fc.assert(
    fc.property(systems, ([n, b]) => {
      // B Bᵀ + I is positive definite.
      const a = Float64Array.from({ length: n * n }, (_, at) => {
        const [i, j] = [Math.floor(at / n), at % n];
        let sum = i === j ? 1 : 0;
        for (let k = 0; k < n; k++) sum += (b[i * n + k] ?? 0) * (b[j * n + k] ?? 0);
        return sum;
      });
      const x = Float64Array.from({ length: n }, (_, i) => i - 1.5);
      const times = (matrix: Float64Array, vector: Float64Array) =>
        vector.map((_, i) => vector.reduce((sum, value, j) => sum + (matrix[i * n + j] ?? 0) * value, 0));
      const l = a.slice();
      cholesky(l, n);
      const solved = times(a, x);
      solve(l, n, solved);
      const inverted = times(inverse(l, n), times(a, x));
      for (let i = 0; i < n; i++) {
        expect(solved[i]).toBeCloseTo(x[i] as number, 6);
        expect(inverted[i]).toBeCloseTo(x[i] as number, 6);
      }
    }),
  );
});

test('the determinant of a matrix known by heart, and a matrix that has no root', () => {
  expect(cholesky(Float64Array.from([4, 0, 0, 2, 5, 0, 2, 3, 6]), 3)).toBeCloseTo(Math.log(4 * 4 * 4), 12);
  expect(() => cholesky(Float64Array.from([1, 0, 2, 1]), 2)).toThrow(NotPositiveDefinite);
});

test('columns that depend on earlier ones are found, empty ones too', () => {
  const columns = [
    [1, 1, 1, 1],
    [1, 0, 0, 0],
    [0, 1, 1, 1],
    [0, 0, 0, 0],
    [1, 2, 3, 4],
    [3, 2, 3, 4],
  ];
  const gram = columns.flatMap((a) => columns.map((b) => a.reduce((sum, value, i) => sum + value * (b[i] ?? 0), 0)));
  expect(dependentColumns(Float64Array.from(gram), 6)).toEqual([false, false, true, true, false, true]);
});

// Source of the function: H. H. Rosenbrock, Computer J. 3, 1960, 175-184; its minimum is 0 at (1, 1).
test.each([{}, { central: true }, { curvatureStep: 0.1 }])(
  "Rosenbrock's valley is followed to its end: %o",
  (options) => {
    const valley = ([x = 0, y = 0]: Float64Array) => 100 * (y - x * x) ** 2 + (1 - x) ** 2;
    const found = drained(minimising(valley, [-1.2, 1], { tolerance: 1e-12, step: 1e-7, ...options }));
    expect(found.value).toBeLessThan(1e-8);
    expect(found.x[0]).toBeCloseTo(1, 3);
    expect(found.x[1]).toBeCloseTo(1, 3);
  },
);

test('a function that is infinite beyond a wall, and one of nothing', () => {
  const walled = ([x = 0]: Float64Array) => (x < 0.5 ? Number.POSITIVE_INFINITY : x * x);
  expect(drained(minimising(walled, [2], { tolerance: 1e-9 })).x[0]).toBeLessThan(0.6);
  expect(drained(minimising(() => 3, [])).value).toBe(3);
});

test('two sums of two numbers tell both; a sum taken back tells nothing', () => {
  const state = new JointNormal();
  const [a, b] = [state.add(0, 100), state.add(0, 100)];
  const [sum, difference] = [
    { at: [a, b], factor: [1, 1] },
    { at: [a, b], factor: [1, -1] },
  ] as const;
  state.observe(sum, 7, 1e9);
  state.observe(difference, 1, 1e9);
  expect(state.mean(a)).toBeCloseTo(4, 5);
  expect(state.mean(b)).toBeCloseTo(3, 5);
  expect(state.varianceOf(sum)).toBeLessThan(1e-8);

  const other = new JointNormal();
  other.add(1, 2);
  other.observe({ at: [0], factor: [3] }, 10, 5);
  other.observe({ at: [0], factor: [3] }, 10, -5);
  expect(other.mean(0)).toBeCloseTo(1, 9);
  expect(other.covariance(0, 0)).toBeCloseTo(2, 9);
});
