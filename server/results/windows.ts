/**
 * An `arm`: from its instant on the crossings of the track belong to the heat; `null` stands for a heat of another
 * meeting on the same track.
 */
export type Arming = { readonly heat: string | null; readonly atUs: number };

/**
 * The armings of a track by instant; of two at one instant the later written one comes last. Every `arm` opens a
 * window, also one that the state of its heat does not allow.
 *
 * @param armings in the order in which they were written
 */
export function armingsInOrder(armings: readonly Arming[]): Arming[] {
  return [...armings].sort((a, b) => a.atUs - b.atUs);
}

/**
 * The heat that a crossing belongs to: that of the last arming at or before its instant; before the first to none.
 *
 * @param armings as `armingsInOrder` gives them
 */
export function heatAt(armings: readonly Arming[], atUs: number): string | null {
  let low = 0;
  let high = armings.length;
  while (low < high) {
    const middle = (low + high) >> 1;
    if ((armings[middle] as Arming).atUs <= atUs) low = middle + 1;
    else high = middle;
  }
  return armings[low - 1]?.heat ?? null;
}
