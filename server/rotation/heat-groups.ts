/** Neighbouring heats of one group; null: of nobody's group, or of several at once. */
export type HeatBlock<H> = { readonly group: number | null; readonly heats: readonly H[] };

/**
 * Cuts heats into blocks of neighbours whose drivers are all of one group. Without groups it is one block.
 *
 * @param groupOf group of an entry, from 1; null where the race was not split
 */
export function heatBlocks<H extends { readonly lanes: readonly { readonly entryId: string }[] }>(
  heats: readonly H[],
  groupOf: (entryId: string) => number | null,
): HeatBlock<H>[] {
  const blocks: { group: number | null; heats: H[] }[] = [];
  for (const heat of heats) {
    const groups = new Set(heat.lanes.map(({ entryId }) => groupOf(entryId)));
    const group = groups.size === 1 ? ([...groups][0] ?? null) : null;
    const last = blocks.at(-1);
    if (last && last.group === group) last.heats.push(heat);
    else blocks.push({ group, heats: [heat] });
  }
  return blocks;
}
