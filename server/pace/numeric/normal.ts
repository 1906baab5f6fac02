import { gammaUpper } from './gamma.ts';

/** Chance that a standard normal number is at most x; keeps its digits far out on the left. */
export function normalCdf(x: number): number {
  const tail = gammaUpper(0.5, (x * x) / 2) / 2;
  return x < 0 ? tail : 1 - tail;
}

export const normalDensity = (x: number) => Math.exp(-(x * x) / 2) / Math.sqrt(2 * Math.PI);
