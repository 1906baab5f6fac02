import { and, desc, eq, getTableColumns, notInArray, sql } from 'drizzle-orm';
import type { ClubTx } from '../../db/client.ts';
import { calibration, controllerUnit, triggerTrace } from '../../db/schema/index.ts';
import type { UnitKey } from './store.ts';

/** What was found of a trigger's ends and kept. */
export type KeptCalibration = typeof calibration.$inferSelect;
/** Readings of a trigger during a check. */
export type TriggerTrace = typeof triggerTrace.$inferSelect;
export type TraceSource = 'unit' | 'paste' | 'file' | 'serial';

/** Traces kept of a unit: enough to compare the last few checks. */
const tracesKept = 5;

const ofUnit = ({ clubId, id }: UnitKey) => and(eq(calibration.clubId, clubId), eq(calibration.unitId, id));
const traceOfUnit = ({ clubId, id }: UnitKey) => and(eq(triggerTrace.clubId, clubId), eq(triggerTrace.unitId, id));
const isTrace = (key: UnitKey, n: number) => and(traceOfUnit(key), eq(triggerTrace.n, n));

/** The calibrations of a unit, the latest first. */
export async function selectCalibrations(tx: ClubTx, key: UnitKey): Promise<KeptCalibration[]> {
  return tx.select().from(calibration).where(ofUnit(key)).orderBy(desc(calibration.n));
}

/** The latest calibration, if it was made at this mechanical setting: an older one is void. */
export async function selectOptionalValidCalibration(
  tx: ClubTx,
  key: UnitKey,
  mechanicalSetting: number,
): Promise<KeptCalibration | null> {
  const [latest] = await tx.select().from(calibration).where(ofUnit(key)).orderBy(desc(calibration.n)).limit(1);
  return latest?.mechanicalSetting === mechanicalSetting ? latest : null;
}

/** The units of a club that have a calibration at their present mechanical setting. */
export async function selectCalibratedUnits(tx: ClubTx, clubId: string): Promise<ReadonlySet<string>> {
  const rows = await tx
    .selectDistinctOn([calibration.unitId], {
      id: calibration.unitId,
      isValid: sql<boolean>`${calibration.mechanicalSetting} = ${controllerUnit.mechanicalSetting}`,
    })
    .from(calibration)
    .innerJoin(
      controllerUnit,
      and(eq(controllerUnit.clubId, calibration.clubId), eq(controllerUnit.id, calibration.unitId)),
    )
    .where(eq(calibration.clubId, clubId))
    .orderBy(calibration.unitId, desc(calibration.n));
  return new Set(rows.filter(({ isValid }) => isValid).map(({ id }) => id));
}

/** Keeps a calibration under the unit's next number. Needs the unit's lock. */
export async function insertCalibration(tx: ClubTx, row: Omit<typeof calibration.$inferInsert, 'n'>): Promise<void> {
  const last = sql`(select coalesce(max(n), 0) from calibration where club_id = ${row.clubId} and unit_id = ${row.unitId})`;
  await tx.insert(calibration).values({ ...row, n: sql`${last} + 1` });
}

/** A trace of a unit by its number. */
export async function selectOptionalTrace(tx: ClubTx, key: UnitKey, n: number): Promise<TriggerTrace | null> {
  const [row] = await tx.select().from(triggerTrace).where(isTrace(key, n));
  return row ?? null;
}

/** A trace of a unit by the name that the unit gave it. */
export async function selectOptionalTraceByName(tx: ClubTx, key: UnitKey, name: string): Promise<TriggerTrace | null> {
  const [row] = await tx
    .select()
    .from(triggerTrace)
    .where(and(traceOfUnit(key), eq(triggerTrace.name, name)));
  return row ?? null;
}

/** What a trace is, without its readings. */
export type TraceHead = Omit<TriggerTrace, 'counts'> & { length: number };

/** The traces kept of a unit, the latest first. */
export async function selectTraceHeads(tx: ClubTx, key: UnitKey): Promise<TraceHead[]> {
  const { counts: _, ...head } = getTableColumns(triggerTrace);
  return tx
    .select({ ...head, length: sql<number>`cardinality(${triggerTrace.counts})` })
    .from(triggerTrace)
    .where(traceOfUnit(key))
    .orderBy(desc(triggerTrace.n));
}

/**
 * Keeps a trace under the unit's next number; the oldest ones go. Needs the unit's lock.
 *
 * @returns its number
 */
export async function insertTrace(tx: ClubTx, row: Omit<typeof triggerTrace.$inferInsert, 'n'>): Promise<number> {
  const key = { clubId: row.clubId, id: row.unitId };
  const heads = await selectTraceHeads(tx, key);
  const n = (heads[0]?.n ?? 0) + 1;
  await tx.insert(triggerTrace).values({ ...row, n });
  const stay = [n, ...heads.slice(0, tracesKept - 1).map((head) => head.n)];
  await tx.delete(triggerTrace).where(and(traceOfUnit(key), notInArray(triggerTrace.n, stay)));
  return n;
}

/** Adds readings to a trace. Needs the unit's lock. */
export async function appendCounts(
  tx: ClubTx,
  key: UnitKey,
  n: number,
  counts: readonly number[],
  complete: boolean,
): Promise<void> {
  // An array as one parameter: `||` then costs the same for one reading as for a thousand.
  const more = sql`${triggerTrace.counts} || ${`{${counts.join(',')}}`}::integer[]`;
  await tx.update(triggerTrace).set({ counts: more, complete }).where(isTrace(key, n));
}
