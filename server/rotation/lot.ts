import { randomFrom } from '../shared/random.ts';

/** The items in an order by lot; the same seed gives the same order (R. Fisher, F. Yates; R. Durstenfeld 1964). */
export function byLot<T>(items: readonly T[], seed: number): T[] {
  const { unit } = randomFrom(seed);
  const order = [...items];
  for (let last = order.length - 1; last > 0; last--) {
    const other = Math.floor(unit() * (last + 1));
    [order[last], order[other]] = [order[other] as T, order[last] as T];
  }
  return order;
}
