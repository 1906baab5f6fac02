import type { Crossing, CrossingKey } from './facts.ts';

/** Compares two texts by code point (`<` would compare UTF-16 units): negative, 0 or positive. */
export function compareCodePoints(a: string, b: string): number {
  if (a === b) return 0;
  const length = Math.min(a.length, b.length);
  for (let i = 0; i < length; ) {
    const pointA = a.codePointAt(i) as number;
    const pointB = b.codePointAt(i) as number;
    if (pointA !== pointB) return pointA - pointB;
    i += pointA > 0xffff ? 2 : 1;
  }
  return a.length - b.length;
}

/** The order in which a lane's crossings are judged: instant, then device and boot by code point, then number. */
export function compareCrossings(a: Crossing, b: Crossing): number {
  return a.atUs - b.atUs || compareCodePoints(a.device, b.device) || compareCodePoints(a.boot, b.boot) || a.seq - b.seq;
}

/** One text for each crossing key; the lengths keep `("a", "bc")` and `("ab", "c")` apart. */
export function crossingId(key: CrossingKey): string {
  return `${key.device.length}:${key.device}${key.boot.length}:${key.boot}${key.seq}`;
}

/** The crossings in the order of the verdicts, each once: a repeated line is no second crossing. */
export function inOrder(crossings: readonly Crossing[]): Crossing[] {
  const sorted = [...crossings].sort(compareCrossings);
  return sorted.filter((crossing, i) => i === 0 || compareCrossings(sorted[i - 1] as Crossing, crossing) !== 0);
}

/** Facts of a heat by rising number, each number once. */
export function byNumber<T extends { readonly n: number }>(facts: readonly T[]): T[] {
  const sorted = [...facts].sort((a, b) => a.n - b.n);
  return sorted.filter((fact, i) => i === 0 || sorted[i - 1]?.n !== fact.n);
}
