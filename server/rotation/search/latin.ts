import type { Shape } from './shape.ts';
import type { Seats } from './task.ts';

/**
 * Everybody in every heat, as many heats and lanes as drivers, an even number: driver z(h) + z(l) modulo n on lane l of heat
 * h, with the zigzag z = 0, 1, n - 1, 2, n - 2, … In it every difference of neighbours comes exactly once, so every two
 * drivers are side by side twice, once each way round, and everybody takes over from everybody else exactly once: a complete
 * Latin square (E. J. Williams, "Experimental designs balanced for the estimation of residual effects of treatments",
 * Aust. J. Sci. Res. A 2, 1949).
 *
 * @returns null where the draw is of another kind
 */
export function completeLatinSquare({ drivers: n, width, heats, seats }: Shape): Seats | null {
  if (n % 2 !== 0 || width !== n || heats !== n || seats !== n * n) return null;
  const zigzag = (i: number) => (i % 2 === 1 ? (i + 1) / 2 : (n - i / 2) % n);
  return Int16Array.from({ length: n * n }, (_, i) => (zigzag(Math.floor(i / n)) + zigzag(i % n)) % n);
}
