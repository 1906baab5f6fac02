/** Least sums of squares of integers with a fixed sum: the counting argument behind most bounds. */

/** Number of pairs among n things. */
export const pairsAmong = (n: number) => (n * (n - 1)) / 2;

export const sumOf = (list: readonly number[]) => list.reduce((sum, value) => sum + value, 0);

export const sumOfSquares = (list: readonly number[]) => list.reduce((sum, value) => sum + value * value, 0);

/** Smallest sum of squares of `cells` integers of 0 or more with the given sum: reached when they differ by at most 1. */
export function balancedSquares(sum: number, cells: number): number {
  return overEvenParts(sum, cells, (part) => part * part);
}

/** Sum of a convex cost over `parts` integers that add up to `total` and differ by at most one: the least there is. */
export function overEvenParts(total: number, parts: number, cost: (part: number) => number): number {
  if (parts === 0) return 0;
  const small = Math.floor(total / parts);
  const large = total - small * parts;
  return (large > 0 ? large * cost(small + 1) : 0) + (parts - large) * cost(small);
}

/** Counts that can only grow, from small to large, to ask several questions about. */
export class Levels {
  readonly #rising: readonly number[];

  constructor(counts: readonly number[]) {
    this.#rising = counts.toSorted((a, b) => a - b);
  }

  /** The evenest way to add up to `added`: the lowest `raised` counts are brought to the same level, give or take 1. */
  #fill(added: number): { raised: number; sum: number } {
    let raised = 0;
    let sum = added;
    for (const count of this.#rising) {
      // Raising the first `raised` counts to this one takes no more than there is to add.
      if (raised > 0 && count * raised >= sum) break;
      raised += 1;
      sum += count;
    }
    return { raised, sum };
  }

  /** Smallest sum of squares when `added` is put on the counts ("water-filling"); 0 where there are no counts. */
  leastSquares(added: number): number {
    const { raised, sum } = this.#fill(added);
    return balancedSquares(sum, raised) + sumOfSquares(this.#rising.slice(raised));
  }

  /** The largest least count, and the smallest largest one, that adding so much can reach. */
  range(added: number): { least: number; most: number } {
    const { raised, sum } = this.#fill(added);
    if (raised === 0) return { least: 0, most: 0 };
    return { least: Math.floor(sum / raised), most: Math.max(Math.ceil(sum / raised), this.#rising.at(-1) ?? 0) };
  }
}
