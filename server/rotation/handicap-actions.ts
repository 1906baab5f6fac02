import type { Database } from '../../db/client.ts';
import { updateEntryDelay } from '../meetings/store.ts';
import { changePlan, type RaceKey } from './actions.ts';
import { replaceHeatLanes } from './store.ts';

/**
 * Sets how long after the start each of these drivers starts, in milliseconds: in every heat that was not armed yet, and
 * in whatever is drawn later.
 *
 * @param delays by entry; entries of another race are passed over
 */
export async function setDelays(db: Database, key: RaceKey, delays: ReadonlyMap<string, number>): Promise<void> {
  const { clubId, meetingId } = key;
  await changePlan(db, key, async (tx, { entries, heats }) => {
    for (const { id } of entries) {
      const delayMs = delays.get(id);
      if (delayMs !== undefined) await updateEntryDelay(tx, { clubId, meetingId, id }, delayMs);
    }
    for (const { id, stage, lanes } of heats) {
      if (stage !== 'planned') continue;
      const delayed = lanes.map((lane) => ({ ...lane, delayMs: delays.get(lane.entryId) ?? lane.delayMs }));
      await replaceHeatLanes(tx, clubId, meetingId, { id, lanes: delayed });
    }
  });
}
