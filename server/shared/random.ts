/**
 * Repeatable random numbers: the same seed gives the same numbers on every machine.
 *
 * Generator: xoshiro128** 1.1 (D. Blackman, S. Vigna, "Scrambled linear pseudorandom number generators", ACM Trans. Math.
 * Softw. 47(4), 2021). Its state is filled from the seed by steps of 0x9e3779b9 through the 32-bit finalizer of
 * MurmurHash3 (A. Appleby).
 */
export type Random = {
  /** A whole number from 0 to 2^32 - 1. */
  uint32(): number;
  /** A number from 0 (included) to 1 (not included). */
  unit(): number;
  /** A normally distributed number with mean 0 and standard deviation 1. */
  normal(): number;
};

/** @param seed a whole number; only its lowest 32 bits matter */
export function randomFrom(seed: number): Random {
  return randomFromState([1, 2, 3, 4].map((i) => finalize((seed + i * 0x9e3779b9) >>> 0)));
}

/** @param state four whole numbers of 32 bits, not all 0 */
export function randomFromState(state: readonly number[]): Random {
  let [a = 0, b = 0, c = 0, d = 0] = state;
  const uint32 = () => {
    const result = Math.imul(rotate(Math.imul(b, 5), 7), 9) >>> 0;
    const t = b << 9;
    c ^= a;
    d ^= b;
    b ^= c;
    a ^= d;
    c ^= t;
    d = rotate(d, 11);
    return result;
  };
  const unit = () => uint32() / 2 ** 32;
  // Box and Muller (1958); 1 - unit() is never 0.
  const normal = () => Math.sqrt(-2 * Math.log(1 - unit())) * Math.cos(2 * Math.PI * unit());
  return { uint32, unit, normal };
}

const rotate = (x: number, by: number) => (x << by) | (x >>> (32 - by));

function finalize(word: number): number {
  let h = word ^ (word >>> 16);
  h = Math.imul(h, 0x85ebca6b);
  h ^= h >>> 13;
  h = Math.imul(h, 0xc2b2ae35);
  return (h ^ (h >>> 16)) >>> 0;
}
