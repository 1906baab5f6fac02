import { and, asc, eq, inArray, sql } from 'drizzle-orm';
import type { ClubTx } from '../../db/client.ts';
import { heat, heatEvent, heatLane, heatMarshal, race } from '../../db/schema/index.ts';
import { groupBy } from '../shared/group-by.ts';
import type { HeatMark, HeatStage } from './heat-stage.ts';

/** What is laid down about a heat: who drives on which lane and who marshals. */
export type HeatPlanRow = {
  id: string;
  raceId: string;
  ordinal: number;
  /** The void heat this one runs again. */
  reruns: string | null;
  /** Set when the heat was taken off the plan after it was armed and before it was started. */
  removedAt: Date | null;
  /** By rising lane number; lanes that nobody drives on are left out. */
  lanes: { lane: number; entryId: string; delayMs: number }[];
  /** Entries by post; of any race of the meeting. */
  marshals: string[];
};

/** A heat that is on the plan, with how far it is. */
export type StagedHeat = HeatPlanRow & { stage: HeatStage };

export type NewHeat = Omit<HeatPlanRow, 'removedAt'>;

/** The heats of a meeting, of all its races, in the order in which they are run; those taken off the plan too. */
export async function selectHeatPlans(tx: ClubTx, clubId: string, meetingId: string): Promise<HeatPlanRow[]> {
  const heats = await tx
    .select({ heat })
    .from(heat)
    .innerJoin(race, and(eq(race.clubId, heat.clubId), eq(race.meetingId, heat.meetingId), eq(race.id, heat.raceId)))
    .where(and(eq(heat.clubId, clubId), eq(heat.meetingId, meetingId)))
    .orderBy(asc(race.ordinal), asc(race.id), asc(heat.ordinal), asc(heat.id));
  const lanes = await tx
    .select()
    .from(heatLane)
    .where(and(eq(heatLane.clubId, clubId), eq(heatLane.meetingId, meetingId)))
    .orderBy(asc(heatLane.lane));
  const marshals = await tx
    .select()
    .from(heatMarshal)
    .where(and(eq(heatMarshal.clubId, clubId), eq(heatMarshal.meetingId, meetingId)))
    .orderBy(asc(heatMarshal.post));
  const lanesOf = groupBy(lanes, (row) => row.heatId);
  const marshalsOf = groupBy(marshals, (row) => row.heatId);
  return heats.map(({ heat: { id, raceId, ordinal, reruns, removedAt } }) => ({
    id,
    raceId,
    ordinal,
    reruns,
    removedAt,
    lanes: (lanesOf.get(id) ?? []).map(({ lane, entryId, delayMs }) => ({ lane, entryId, delayMs })),
    marshals: (marshalsOf.get(id) ?? []).map((row) => row.entryId),
  }));
}

/** What was pressed and ruled in the heats of a meeting, as far as the plan must know; by heat and number. */
export async function selectHeatMarks(tx: ClubTx, clubId: string, meetingId: string): Promise<HeatMark[]> {
  return tx
    .select({ heatId: heatEvent.heatId, n: heatEvent.n, kind: heatEvent.kind, target: heatEvent.target })
    .from(heatEvent)
    .where(and(eq(heatEvent.clubId, clubId), eq(heatEvent.meetingId, meetingId)))
    .orderBy(asc(heatEvent.heatId), asc(heatEvent.n));
}

/** Puts heats on the plan. */
export async function insertHeats(
  tx: ClubTx,
  clubId: string,
  meetingId: string,
  heats: readonly NewHeat[],
): Promise<void> {
  if (heats.length === 0) return;
  const key = { clubId, meetingId };
  await tx.insert(heat).values(heats.map(({ lanes: _, marshals: __, ...row }) => ({ ...key, ...row })));
  const lanes = heats.flatMap((one) => one.lanes.map((lane) => ({ ...key, heatId: one.id, ...lane })));
  if (lanes.length > 0) await tx.insert(heatLane).values(lanes);
  await insertMarshals(tx, clubId, meetingId, heats);
}

/** Takes heats without facts off the plan for good. */
export async function deleteHeats(
  tx: ClubTx,
  clubId: string,
  meetingId: string,
  ids: readonly string[],
): Promise<void> {
  if (ids.length === 0) return;
  await tx.delete(heat).where(and(eq(heat.clubId, clubId), eq(heat.meetingId, meetingId), inArray(heat.id, [...ids])));
}

/** Takes a heat off the plan that was armed and not started: its facts stay. */
export async function markHeatRemoved(tx: ClubTx, clubId: string, meetingId: string, id: string): Promise<void> {
  await tx
    .update(heat)
    .set({ removedAt: sql`now()` })
    .where(and(eq(heat.clubId, clubId), eq(heat.meetingId, meetingId), eq(heat.id, id)));
}

/** Gives heats new places in the order of their race. */
export async function updateOrdinals(
  tx: ClubTx,
  clubId: string,
  meetingId: string,
  heats: readonly { id: string; ordinal: number }[],
): Promise<void> {
  for (const { id, ordinal } of heats) {
    await tx
      .update(heat)
      .set({ ordinal })
      .where(and(eq(heat.clubId, clubId), eq(heat.meetingId, meetingId), eq(heat.id, id)));
  }
}

/** Puts these lanes in the place of a heat's lanes. */
export async function replaceHeatLanes(
  tx: ClubTx,
  clubId: string,
  meetingId: string,
  one: Pick<HeatPlanRow, 'id' | 'lanes'>,
): Promise<void> {
  await tx
    .delete(heatLane)
    .where(and(eq(heatLane.clubId, clubId), eq(heatLane.meetingId, meetingId), eq(heatLane.heatId, one.id)));
  if (one.lanes.length > 0) {
    await tx.insert(heatLane).values(one.lanes.map((lane) => ({ clubId, meetingId, heatId: one.id, ...lane })));
  }
}

async function insertMarshals(
  tx: ClubTx,
  clubId: string,
  meetingId: string,
  heats: readonly Pick<HeatPlanRow, 'id' | 'marshals'>[],
): Promise<void> {
  const rows = heats.flatMap((one) =>
    one.marshals.map((entryId, i) => ({ clubId, meetingId, heatId: one.id, post: i + 1, entryId })),
  );
  if (rows.length > 0) await tx.insert(heatMarshal).values(rows);
}
