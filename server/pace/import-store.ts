import { and, asc, eq, inArray, lte, sql } from 'drizzle-orm';
import type { ClubTx } from '../../db/client.ts';
import { encodeExact } from '../../db/exact-text.ts';
import {
  car,
  carClass,
  controllerUnit,
  driver,
  entry,
  lap,
  lapImport,
  pastLap,
  profile,
  race,
} from '../../db/schema/index.ts';
import { chunks } from '../shared/chunks.ts';
import type { LapColumns } from './lap-columns.ts';
import type { HeatOfDriver } from './lap-table.ts';

export type LapImport = typeof lapImport.$inferSelect;

/** Imports of a club, the oldest first. */
export async function selectImports(tx: ClubTx, clubId: string): Promise<LapImport[]> {
  return tx
    .select()
    .from(lapImport)
    .where(eq(lapImport.clubId, clubId))
    .orderBy(asc(lapImport.createdAt), asc(lapImport.id));
}

export async function selectOptionalImport(tx: ClubTx, clubId: string, id: string): Promise<LapImport | null> {
  const [row] = await tx
    .select()
    .from(lapImport)
    .where(and(eq(lapImport.clubId, clubId), eq(lapImport.id, id)));
  return row ?? null;
}

export async function insertImport(tx: ClubTx, row: typeof lapImport.$inferInsert): Promise<void> {
  await tx.insert(lapImport).values(row);
}

/** Laps that one statement takes: well below a second of work. */
const lapsAtOnce = 20_000;

/**
 * Adds the laps of an import, numbered in their order.
 *
 * @param columns with ids of drivers and classes in the place of names
 */
export async function insertPastLaps(
  tx: ClubTx,
  clubId: string,
  importId: string,
  { heats, heat, lap, timeS, flag }: LapColumns,
): Promise<void> {
  for (let from = 0; from < lap.length; from += lapsAtOnce) {
    const to = Math.min(lap.length, from + lapsAtOnce);
    const first = heat[from] as number;
    const own = heats.slice(first, (heat[to - 1] as number) + 1).map((one, i) => heatJson(one, first + i));
    const timesUs = Array.from(timeS.subarray(from, to), (s) => Math.round(s * 1e6));
    // Lists as text: a row of parameters for each lap would be ten times the work.
    await tx.execute(sql`
      insert into ${pastLap}
        (club_id, import_id, "row", night, heat, start_s, track, lane, driver_id, class_id, lap, time_us, flag)
      select ${clubId}, ${importId}, ${from} + l.i, h.night, h.heat, h.start_s, h.track, h.lane, h.driver_id, h.class_id,
        l.lap, l.time_us, (array['', 'crash', 'call'])[l.flag + 1]
      from unnest(
        string_to_array(${heat.subarray(from, to).join()}, ',')::int[],
        string_to_array(${lap.subarray(from, to).join()}, ',')::int[],
        string_to_array(${timesUs.join()}, ',')::bigint[],
        string_to_array(${flag.subarray(from, to).join()}, ',')::int[]
      ) with ordinality as l(h, lap, time_us, flag, i)
      join jsonb_to_recordset(${JSON.stringify(own)}::text::jsonb) as h(
        h int, night bigint, heat text, start_s float8, track text, lane int, driver_id text, class_id text
      ) using (h)`);
  }
}

const heatJson = ({ night, heat, startS, track, lane, driver, carClass }: HeatOfDriver, h: number) => ({
  h,
  night,
  heat: encodeExact(heat),
  start_s: startS,
  track: encodeExact(track),
  lane,
  driver_id: driver,
  class_id: carClass,
});

/** Takes an import away with all its laps; a few at a time, as no statement may take long. */
export async function deleteImport(tx: ClubTx, { clubId, id, rows }: LapImport): Promise<void> {
  for (let to = lapsAtOnce; to < rows + lapsAtOnce; to += lapsAtOnce) {
    await tx.delete(pastLap).where(and(eq(pastLap.clubId, clubId), eq(pastLap.importId, id), lte(pastLap.row, to)));
  }
  await tx.delete(lapImport).where(and(eq(lapImport.clubId, clubId), eq(lapImport.id, id)));
}

/** Takes away those of these drivers who have neither laps nor entries, neither cars nor controllers nor profiles. */
export async function deleteUnusedDrivers(tx: ClubTx, clubId: string, ids: readonly string[]): Promise<void> {
  const { id } = driver;
  for (const some of chunks(ids, 1000)) {
    await tx
      .delete(driver)
      .where(
        and(
          eq(driver.clubId, clubId),
          inArray(id, some),
          ...[entry, lap, pastLap, car, profile, controllerUnit].map(
            (table) =>
              sql`not exists (select 1 from ${table} where ${table.clubId} = ${driver.clubId} and ${table.driverId} = ${id})`,
          ),
        ),
      );
  }
}

/** Takes away those of these classes that nothing is of. */
export async function deleteUnusedClasses(tx: ClubTx, clubId: string, ids: readonly string[]): Promise<void> {
  if (ids.length === 0) return;
  await tx
    .delete(carClass)
    .where(
      and(
        eq(carClass.clubId, clubId),
        inArray(carClass.id, [...ids]),
        ...[race, pastLap, car].map(
          (table) =>
            sql`not exists (select 1 from ${table} where ${table.clubId} = ${carClass.clubId} and ${table.classId} = ${carClass.id})`,
        ),
      ),
    );
}

/** Fills in what nobody had said of drivers before. */
export async function updateUntold(
  tx: ClubTx,
  clubId: string,
  id: string,
  { group, nightsBefore }: { group: 'junior' | 'adult' | null; nightsBefore: number },
): Promise<void> {
  await tx
    .update(driver)
    .set({
      paceGroup: sql`coalesce(${driver.paceGroup}, ${group})`,
      nightsBefore: sql`case when ${driver.nightsBefore} = 0 then ${nightsBefore} else ${driver.nightsBefore} end`,
    })
    .where(and(eq(driver.clubId, clubId), eq(driver.id, id)));
}
