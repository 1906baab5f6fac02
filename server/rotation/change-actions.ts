import type { ClubTx, Database } from '../../db/client.ts';
import { nextMeetingId } from '../meetings/store.ts';
import { changePlan, lanesFrom, lanesOf, type RaceKey, seatsOf } from './actions.ts';
import { assignMarshals } from './marshals.ts';
import { mostRuns } from './plan-request.ts';
import { moveHeat, type ReorderRefusal, stepHeat, swapSeats } from './reorder.ts';
import {
  deleteHeats,
  insertHeats,
  markHeatRemoved,
  replaceHeatLanes,
  type StagedHeat,
  updateOrdinals,
} from './store.ts';

/** What became of a change by hand. */
export type Changed = 'done' | { refused: ReorderRefusal };

const asMovable = (heats: readonly StagedHeat[]) => heats.map((heat) => ({ heat, started: heat.stage !== 'planned' }));
const placeOf = (heats: readonly StagedHeat[], id: string) => heats.findIndex((heat) => heat.id === id);

/** Moves a planned heat before or after the next planned one. */
export async function stepHeatOnPlan(db: Database, key: RaceKey, heatId: string, by: -1 | 1): Promise<Changed> {
  return changePlan(db, key, async (tx, { heats }) => {
    const result = stepHeat(asMovable(heats), placeOf(heats, heatId), by);
    return result.ok ? keepOrder(tx, key, heats, result.heats) : { refused: result.why };
  });
}

/** Moves a planned heat to the place of another one. */
export async function moveHeatOnPlan(db: Database, key: RaceKey, heatId: string, toId: string): Promise<Changed> {
  return changePlan(db, key, async (tx, { heats }) => {
    const result = moveHeat(asMovable(heats), placeOf(heats, heatId), placeOf(heats, toId));
    return result.ok ? keepOrder(tx, key, heats, result.heats) : { refused: result.why };
  });
}

/** Gives heats the numbers that belong to their places. Numbers that an imported plan gave twice are made new. */
async function keepOrder(
  tx: ClubTx,
  { clubId, meetingId }: RaceKey,
  before: readonly StagedHeat[],
  after: readonly { heat: StagedHeat }[],
): Promise<'done'> {
  const numbers = before.map((heat) => heat.ordinal);
  const distinct = new Set(numbers).size === numbers.length;
  const moved = after
    .map(({ heat }, i) => ({ id: heat.id, was: heat.ordinal, ordinal: distinct ? (numbers[i] as number) : i + 1 }))
    .filter(({ was, ordinal }) => was !== ordinal);
  await updateOrdinals(tx, clubId, meetingId, moved);
  return 'done';
}

export type SeatName = { heat: string; lane: number };

/** Swaps what two lanes of planned heats hold. A start delay goes with its driver. */
export async function swapOnPlan(db: Database, key: RaceKey, first: SeatName, second: SeatName): Promise<Changed> {
  return changePlan(db, key, async (tx, { meeting, entries, heats }) => {
    const lanes = lanesOf(meeting);
    const planned = heats.map((heat) => ({
      id: heat.id,
      seats: seatsOf(heat, lanes),
      marshals: heat.marshals,
      started: heat.stage !== 'planned',
    }));
    const place = (name: SeatName) => ({ heat: placeOf(heats, name.heat), lane: name.lane - 1 });
    const result = swapSeats<string, (typeof planned)[number]>(planned, place(first), place(second));
    if (!result.ok) return { refused: result.why };
    const touched = new Set([first.heat, second.heat]);
    const delays = new Map(
      heats
        .filter((heat) => touched.has(heat.id))
        .flatMap((heat) => heat.lanes.map((one) => [one.entryId, one.delayMs])),
    );
    for (const { id, seats } of result.heats.filter((heat) => touched.has(heat.id))) {
      const row = lanesFrom(seats, entries).map((one) => ({ ...one, delayMs: delays.get(one.entryId) ?? one.delayMs }));
      await replaceHeatLanes(tx, key.clubId, key.meetingId, { id, lanes: row });
    }
    return 'done';
  });
}

/** Takes a heat that was not started off the plan; the heats after it close up. */
export async function removeHeat(
  db: Database,
  key: RaceKey,
  heatId: string,
): Promise<'done' | { refused: 'started' | 'no such heat' }> {
  return changePlan(db, key, async (tx, { heats }) => {
    const heat = heats.find((one) => one.id === heatId);
    if (!heat) return { refused: 'no such heat' };
    if (heat.stage === 'run' || heat.stage === 'void') return { refused: 'started' };
    const { clubId, meetingId } = key;
    if (heat.stage === 'planned') await deleteHeats(tx, clubId, meetingId, [heatId]);
    else await markHeatRemoved(tx, clubId, meetingId, heatId);
    const after = heats.filter((one) => one.ordinal > heat.ordinal);
    if (after.every((one) => one.stage === 'planned')) {
      const closed = after.map(({ id, ordinal }) => ({ id, ordinal: ordinal - 1 }));
      await updateOrdinals(tx, clubId, meetingId, closed);
    }
    return 'done';
  });
}

/** Adds one heat at the end, with marshals from those of the race who sit out and have fewest duties. */
export async function addHeat(
  db: Database,
  key: RaceKey,
  seats: readonly { lane: number; entryId: string }[],
): Promise<'done' | 'plan changed' | { tooManyRuns: number }> {
  return changePlan(db, key, async (tx, { meeting, race, entries, heats }) => {
    const here = entries.filter((entry) => entry.withdrawnAt === null).map((entry) => entry.id);
    const lanes = new Set(meeting.trackSettings.lanes.map((one) => one.lane));
    if (!seats.every(({ lane, entryId }) => lanes.has(lane) && here.includes(entryId))) return 'plan changed';
    const count = lanesOf(meeting);
    const row = seatsOf({ lanes: seats.map((seat) => ({ ...seat, delayMs: 0 })) }, count);
    const counted = heats.filter((heat) => heat.stage !== 'void').map((heat) => seatsOf(heat, count));
    const driving = seats.map((seat) => seat.entryId);
    const most = mostRuns([...counted, row], driving);
    if (race.heatsPerEntry !== null && most > race.heatsPerEntry) return { tooManyRuns: most };

    const { clubId, meetingId, raceId } = key;
    const duties = heats.flatMap((heat) => heat.marshals);
    const dutiesOf = (id: string) => duties.filter((one) => one === id).length;
    const drivers = [...here].sort((a, b) => dutiesOf(a) - dutiesOf(b));
    const { marshals } = assignMarshals({ drivers, marshals: race.marshals, exempt: [] }, [row]);
    const id = await nextMeetingId(tx, clubId, meetingId, 'h');
    const ordinal = Math.max(0, ...heats.map((heat) => heat.ordinal)) + 1;
    await insertHeats(tx, clubId, meetingId, [
      { id, raceId, ordinal, reruns: null, lanes: lanesFrom(row, entries), marshals: (marshals[0] ?? []).map(String) },
    ]);
    return 'done';
  });
}
