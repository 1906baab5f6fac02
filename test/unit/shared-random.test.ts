import { expect, test } from 'vitest';
import { randomFrom, randomFromState } from '../../server/shared/random.ts';

test('the generator gives the published numbers', () => {
  // From the reference implementation (xoshiro128starstar.c 1.1), as listed in the tests of the Rust crate rand_xoshiro.
  const random = randomFromState([1, 2, 3, 4]);
  expect(Array.from({ length: 10 }, () => random.uint32())).toEqual([
    11520, 0, 5927040, 70819200, 2031721883, 1637235492, 1287239034, 3734860849, 3729100597, 4258142804,
  ]);
});

test('the same seed gives the same numbers, another seed others', () => {
  const draw = (seed: number) =>
    Array.from(
      { length: 20 },
      (
        (random) => () =>
          random.uint32()
      )(randomFrom(seed)),
    );
  expect(draw(7)).toEqual(draw(7));
  expect(draw(7)).not.toEqual(draw(8));
  expect(new Set(draw(0)).size).toBe(20);
});

test('unit numbers are even and normal numbers have mean 0 and deviation 1', () => {
  const random = randomFrom(1);
  const n = 100_000;
  const units = Array.from({ length: n }, () => random.unit());
  expect(units.every((u) => u >= 0 && u < 1)).toBe(true);
  expect(units.reduce((sum, u) => sum + u, 0) / n).toBeCloseTo(0.5, 2);
  const normals = Array.from({ length: n }, () => random.normal());
  expect(Math.abs(normals.reduce((sum, x) => sum + x, 0) / n)).toBeLessThan(0.01);
  expect(normals.reduce((sum, x) => sum + x * x, 0) / n).toBeCloseTo(1, 1);
});
