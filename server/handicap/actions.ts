import type { Database } from '../../db/client.ts';
import { selectOptionalDriver } from '../drivers/store.ts';
import { Refusal } from '../errors.ts';
import { resetPace } from '../pace/pace-store.ts';
import { changePlan, type RaceKey } from '../rotation/actions.ts';
import { replaceHeatLanes } from '../rotation/store.ts';
import { deleteHeatHandicaps, updateEntryHandicap, updateRaceHandicap } from './store.ts';
import type { RaceHandicap } from './told.ts';

/**
 * Sets how a race evens out chances. What is laid down by hand holds at once in every heat that was not armed yet; the rest
 * of what was told of these heats is forgotten until it is worked out anew.
 *
 * @param handicap null: off
 * @param byHand by entry: milliseconds of delay, or a credit; null: to be worked out. Other entries stay as they are
 */
export async function setHandicap(
  db: Database,
  key: RaceKey,
  handicap: RaceHandicap | null,
  byHand: ReadonlyMap<string, number | null>,
): Promise<void> {
  const { clubId, meetingId, raceId } = key;
  await changePlan(db, key, async (tx, { race, entries, heats }) => {
    await updateRaceHandicap(tx, { clubId, meetingId, id: raceId }, handicap);
    const delays = new Map<string, number | null>();
    for (const entry of entries) {
      const asked = byHand.get(entry.id);
      const stays = entry.handicapByHand && race.handicap?.mode === handicap?.mode;
      const amount = handicap === null ? null : asked === undefined && stays ? entry.delayMs + entry.credit : asked;
      const isDelay = handicap?.mode === 'delay';
      await updateEntryHandicap(
        tx,
        { clubId, meetingId, id: entry.id },
        {
          handicapByHand: typeof amount === 'number',
          delayMs: isDelay ? (amount ?? 0) : 0,
          credit: isDelay ? 0 : (amount ?? 0),
        },
      );
      if (isDelay) delays.set(entry.id, amount ?? null);
    }
    const planned = heats.filter(({ stage }) => stage === 'planned');
    await deleteHeatHandicaps(
      tx,
      clubId,
      meetingId,
      planned.map(({ id }) => id),
    );
    // Computed delays stand until there are new ones, unless they were never computed.
    const stands = handicap?.mode === 'delay' && race.handicap?.mode === 'delay';
    for (const { id, lanes } of planned) {
      const delayed = lanes.map((lane) => ({
        ...lane,
        delayMs: delays.get(lane.entryId) ?? (stands ? lane.delayMs : 0),
      }));
      await replaceHeatLanes(tx, clubId, meetingId, { id, lanes: delayed });
    }
  });
}

/**
 * Lets a driver's low marks count from today on only.
 *
 * @throws Refusal when there is no such driver
 */
export async function resetLowMarks(db: Database, clubId: string, driverId: string): Promise<void> {
  await db.withClub(clubId, async (tx) => {
    if (!(await selectOptionalDriver(tx, clubId, driverId))) throw new Refusal('notFound');
    await resetPace(tx, clubId, driverId);
  });
}
