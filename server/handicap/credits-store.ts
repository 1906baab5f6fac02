import type { ClubTx } from '../../db/client.ts';
import type { Entry, Race } from '../meetings/store.ts';
import type { HeatPlanRow } from '../rotation/store.ts';
import { selectOptionalHeatHandicap } from './store.ts';
import { adjustmentFor } from './told.ts';

/** What stands behind a ruling that enters a credit. */
export const creditWhy = 'handicap';

/**
 * The credits of a heat that is being started, as `adjust` rulings have them: hundredths of a lap added, or, in a heat over
 * laps, milliseconds taken off. They are those that were told; where none were worked out, those laid down by hand.
 */
export async function selectCredits(
  tx: ClubTx,
  { clubId, meetingId }: { clubId: string; meetingId: string },
  { heat, race, entries }: { heat: HeatPlanRow; race: Race; entries: readonly Entry[] },
): Promise<{ lane: number; value: number }[]> {
  const stored = await selectOptionalHeatHandicap(tx, { clubId, meetingId, id: heat.id });
  const told = stored?.format === race.format ? stored : null;
  const creditOf = (entryId: string): number => {
    if (told) return told.lanes.find((one) => one.entryId === entryId)?.credit ?? 0;
    if (race.handicap?.mode !== 'credit') return 0;
    return entries.find(({ id }) => id === entryId)?.credit ?? 0;
  };
  return heat.lanes
    .map(({ lane, entryId }) => ({ lane, value: adjustmentFor(creditOf(entryId), race.format) }))
    .filter(({ value }) => value !== 0);
}
