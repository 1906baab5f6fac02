import type { ClubTx, Database } from '../../db/client.ts';
import { type Calibration, calibrate } from '../profiles/calibration/calibrate.ts';
import {
  appendCounts,
  insertCalibration,
  insertTrace,
  selectCalibrations,
  selectOptionalTrace,
  selectOptionalTraceByName,
  type TraceSource,
  type TriggerTrace,
} from './calibration-store.ts';
import { selectOptionalUnitForUpdate, type UnitKey } from './store.ts';
import { continueTrace, type PartFate, type TracePart } from './trace-parts.ts';

/** Readings that came whole. */
export type WholeReadings = { bits: number; restSamples: number; counts: number[]; source: TraceSource };

/** Keeps readings that came whole. @returns the number of their trace; null when there is no such unit */
export async function keepReadings(db: Database, key: UnitKey, readings: WholeReadings): Promise<number | null> {
  return db.withClub(key.clubId, async (tx) => {
    const unit = await selectOptionalUnitForUpdate(tx, key);
    if (!unit) return null;
    const { mechanicalSetting } = unit;
    return insertTrace(tx, { clubId: key.clubId, unitId: key.id, mechanicalSetting, ...readings, complete: true });
  });
}

export type Appended =
  | { readonly kind: 'stored'; readonly length: number; readonly found: Calibration | null }
  | Exclude<PartFate, { kind: 'more' }>
  /** The unit was touched since the trace began. */
  | { readonly kind: 'touched' }
  | { readonly kind: 'gone' };

/**
 * Adds a part of a trace that a unit sends. A part that came before changes nothing.
 *
 * @returns how many readings of the trace are stored, and what they show once it is complete
 */
export async function appendReadings(db: Database, key: UnitKey, name: string, part: TracePart): Promise<Appended> {
  const stored = await db.withClub(key.clubId, (tx) => append(tx, key, name, part));
  if (stored.kind !== 'stored') return stored;
  const { trace } = stored;
  return { kind: 'stored', length: trace.counts.length, found: trace.complete ? calibrate(trace) : null };
}

type Kept = Pick<TriggerTrace, 'bits' | 'restSamples' | 'counts' | 'complete'>;

async function append(
  tx: ClubTx,
  key: UnitKey,
  name: string,
  part: TracePart,
): Promise<Exclude<Appended, { kind: 'stored' }> | { kind: 'stored'; trace: Kept }> {
  const unit = await selectOptionalUnitForUpdate(tx, key);
  if (!unit) return { kind: 'gone' };
  const sofar = await selectOptionalTraceByName(tx, key, name);
  const fate = continueTrace(sofar, part);
  if (fate.kind !== 'more') return fate;
  const { mechanicalSetting } = unit;
  if (sofar && !sofar.complete && sofar.mechanicalSetting !== mechanicalSetting) return { kind: 'touched' };
  const { bits, restSamples } = part;
  const { counts, complete } = fate;
  const trace = { bits, restSamples, counts: [...(sofar?.counts ?? []), ...counts], complete };
  if (!sofar) {
    await insertTrace(tx, { clubId: key.clubId, unitId: key.id, name, mechanicalSetting, ...trace, source: 'unit' });
  } else if (counts.length > 0 || complete !== sofar.complete) {
    await appendCounts(tx, key, sofar.n, counts, complete);
  }
  return { kind: 'stored', trace };
}

/**
 * Keeps what a trace shows as the unit's calibration, if it can be trusted and nobody touched the unit since. Sent twice
 * it is kept once.
 */
export async function keepCalibration(
  db: Database,
  key: UnitKey,
  n: number,
  author: string,
): Promise<'kept' | 'gone' | 'touched' | 'notOk'> {
  return db.withClub(key.clubId, async (tx) => {
    const unit = await selectOptionalUnitForUpdate(tx, key);
    const trace = await selectOptionalTrace(tx, key, n);
    if (!unit || !trace?.complete) return 'gone';
    const { mechanicalSetting } = unit;
    if (trace.mechanicalSetting !== mechanicalSetting) return 'touched';
    const { verdict, warnings, ends } = calibrate(trace);
    if (verdict !== 'ok' || !ends) return 'notOk';
    const [latest] = await selectCalibrations(tx, key);
    const isKept =
      latest?.mechanicalSetting === mechanicalSetting &&
      (['released', 'pressed', 'travel', 'noise'] as const).every((what) => latest[what] === ends[what]);
    if (!isKept) {
      const row = { clubId: key.clubId, unitId: key.id, mechanicalSetting, ...ends };
      await insertCalibration(tx, { ...row, warnings: [...warnings], author });
    }
    return 'kept';
  });
}
