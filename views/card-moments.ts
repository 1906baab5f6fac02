import type { StagedHeat } from '../server/rotation/store.ts';

/** One line of a driver's card: a duty in a heat, or heats in a row without one. */
export type CardMoment =
  | { readonly kind: 'drive'; readonly heat: StagedHeat; readonly lane: number }
  | { readonly kind: 'marshal'; readonly heat: StagedHeat; readonly post: number }
  /** `before`: place of the heat after the rest; `heats`: how many it lasts. */
  | { readonly kind: 'rest'; readonly before: number; readonly heats: number };

/**
 * What a driver does over a night, up to the last duty. Void heats are left out: whoever drove in one drives again.
 *
 * @param heats of all races, in the order in which they are run
 * @param own the driver's entries
 */
export function cardMoments(heats: readonly StagedHeat[], own: readonly string[]): CardMoment[] {
  const moments: CardMoment[] = [];
  let rested = 0;
  for (const [place, heat] of heats.filter(({ stage }) => stage !== 'void').entries()) {
    const lane = heat.lanes.find(({ entryId }) => own.includes(entryId))?.lane;
    const post = heat.marshals.findIndex((id) => own.includes(id)) + 1;
    if (lane === undefined && post === 0) {
      rested += 1;
      continue;
    }
    if (rested > 0) moments.push({ kind: 'rest', before: place, heats: rested });
    rested = 0;
    moments.push(lane === undefined ? { kind: 'marshal', heat, post } : { kind: 'drive', heat, lane });
  }
  return moments;
}
