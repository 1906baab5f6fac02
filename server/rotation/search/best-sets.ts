import type { HeatSets, Shape } from './shape.ts';
import { waitsPricer } from './waits.ts';
import type { Weights } from './weights.ts';

/** The best of the heats that several searches find, lanes left open. */
export interface BestSets {
  readonly sets: HeatSets;
  /** Weighted sum over pairs of squared meetings. */
  readonly pairCost: number;
  /** Keeps what is better. */
  take(found: HeatSets): void;
}

export function bestSets(start: HeatSets, shape: Shape, weights: Weights): BestSets {
  const { drivers, heats, width } = shape;
  // Where opponents come first, heats are annealed without a thought for their order; weighed as a whole they would lose to
  // any that stand in a good order already.
  const pairsFirst = weights.pairs > weights.backToBack;
  const priceWaits = waitsPricer(shape, weights);
  const met = new Int32Array(drivers * drivers);

  const pricePairs = ({ members, sizes }: HeatSets): number => {
    met.fill(0);
    let squares = 0;
    for (let h = 0; h < heats; h++) {
      for (let i = h * width, end = i + (sizes[h] as number); i < end; i++) {
        for (let j = i + 1; j < end; j++) {
          const a = members[i] as number;
          const b = members[j] as number;
          const cell = a < b ? a * drivers + b : b * drivers + a;
          const before = met[cell] as number;
          squares += 2 * before + 1;
          met[cell] = before + 1;
        }
      }
    }
    return weights.pairs * squares;
  };

  const best = {
    sets: start,
    pairCost: pricePairs(start),
    take(found: HeatSets): void {
      const pairCost = pricePairs(found);
      const cost = pairCost + priceWaits(found);
      if (pairsFirst && pairCost !== best.pairCost ? pairCost > best.pairCost : cost >= leastCost) return;
      leastCost = cost;
      best.sets = found;
      best.pairCost = pairCost;
    },
  };
  let leastCost = best.pairCost + priceWaits(start);
  return best;
}
