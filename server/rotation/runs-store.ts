import type { ClubTx } from '../../db/client.ts';
import { stageHeats } from './heat-stage.ts';
import { runsOf } from './plan-counts.ts';
import { type HeatPlanRow, selectHeatMarks } from './store.ts';

/**
 * Whether somebody in the heat would have more started heats that count than their race gives each, were this one
 * started and counted too.
 *
 * @param heats of the meeting
 * @param most how many heats the race gives each
 */
export async function wouldExceed(
  tx: ClubTx,
  { clubId, meetingId }: { clubId: string; meetingId: string },
  heat: HeatPlanRow,
  heats: readonly HeatPlanRow[],
  most: number,
): Promise<boolean> {
  const others = heats.filter(({ id, raceId }) => raceId === heat.raceId && id !== heat.id);
  const counted = stageHeats(others, await selectHeatMarks(tx, clubId, meetingId)).filter(
    ({ stage }) => stage === 'run',
  );
  const runs = runsOf(counted.map(({ lanes }) => lanes.map(({ entryId }) => entryId)));
  return heat.lanes.some(({ entryId }) => (runs.get(entryId) ?? 0) >= most);
}
