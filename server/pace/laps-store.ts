import { createHash } from 'node:crypto';
import { and, asc, eq, gt, inArray, isNull, lte, notExists, sql } from 'drizzle-orm';
import type { ClubTx } from '../../db/client.ts';
import { driver, heat, heatEvent, lap, lapImport, meeting, pastLap, race } from '../../db/schema/index.ts';
import { paceEngine } from './fit-report.ts';
import { type LapColumns, LapColumnsBuilder, lapsOf } from './lap-columns.ts';
import type { DriverRow, LapRow } from './lap-row.ts';
import type { HeatOfDriver } from './lap-table.ts';

/** The laps that pace is told from: those of confirmed heats, and those that were imported. */

/** Laps of an import that are read at once: a few milliseconds. */
const rowsAtOnce = 10_000;

/** A meeting as the pace model sees it. */
export interface RaceNight {
  readonly id: string;
  readonly trackId: string;
  /** Its number; that of a meeting without laps is the one it would get. */
  readonly night: number;
  readonly hasLaps: boolean;
  /** Whether every planned heat was confirmed or voided. */
  readonly isRun: boolean;
  readonly date: string;
  /** Changes with every press and ruling. */
  readonly mark: string;
}

/** The meetings of a club in their order, numbered after the nights of all imports. */
export async function selectNights(tx: ClubTx, clubId: string): Promise<RaceNight[]> {
  const [imported] = await tx
    .select({ nights: sql<number>`coalesce(sum(${lapImport.nights}), 0)`.mapWith(Number) })
    .from(lapImport)
    .where(eq(lapImport.clubId, clubId));
  const ofMeeting = (table: typeof lap | typeof heatEvent) =>
    and(eq(table.clubId, meeting.clubId), eq(table.meetingId, meeting.id));
  const over = tx
    .select({ n: heatEvent.n })
    .from(heatEvent)
    .where(
      and(
        eq(heatEvent.clubId, heat.clubId),
        eq(heatEvent.meetingId, heat.meetingId),
        eq(heatEvent.heatId, heat.id),
        inArray(heatEvent.kind, ['confirm', 'void']),
      ),
    );
  const open = tx
    .select({ id: heat.id })
    .from(heat)
    .where(
      and(eq(heat.clubId, meeting.clubId), eq(heat.meetingId, meeting.id), isNull(heat.removedAt), notExists(over)),
    );
  const laps = tx.select({ n: lap.n }).from(lap).where(ofMeeting(lap));
  const facts = tx
    .select({ mark: sql`concat(count(*), '.', max(fact_no))` })
    .from(heatEvent)
    .where(ofMeeting(heatEvent));
  const rows = await tx
    .select({
      id: meeting.id,
      trackId: meeting.trackId,
      date: meeting.date,
      hasLaps: sql<boolean>`exists ${laps}`,
      isRun: sql<boolean>`not exists ${open}`,
      mark: sql<string>`${facts}`,
    })
    .from(meeting)
    .where(eq(meeting.clubId, clubId))
    .orderBy(asc(meeting.date), asc(meeting.createdAt), asc(meeting.id));
  let night = (imported?.nights ?? 0) + 1;
  return rows.map((row) => ({ ...row, night: row.hasLaps ? night++ : night }));
}

/** Numbers of the race nights by meeting, rising with the date. */
export async function nightsOf(tx: ClubTx, clubId: string): Promise<ReadonlyMap<string, number>> {
  return new Map((await selectNights(tx, clubId)).map(({ id, night }) => [id, night]));
}

/** Days after which a meeting is over, whatever was planned and not run. */
const patienceDays = 2;

export interface PaceInputs {
  /** Meetings whose laps a fit of today takes: those with laps that are over. */
  readonly meetings: readonly string[];
  /** Whether there is any lap. */
  readonly any: boolean;
  /** The same as long as nothing that a fit is made from has changed; begins with the meetings, see `meetingsIn`. */
  readonly stamp: string;
}

/**
 * What a fit would be made from, without reading a lap.
 *
 * @param today day of the calendar
 */
export async function selectPaceInputs(tx: ClubTx, clubId: string, today: string): Promise<PaceInputs> {
  const nights = await selectNights(tx, clubId);
  const lastDay = new Date(Date.parse(`${today}T00:00:00Z`) - patienceDays * 86_400_000).toISOString().slice(0, 10);
  const over = nights.filter(({ hasLaps, isRun, date }) => hasLaps && (isRun || date <= lastDay));
  const imports = await tx
    .select({ id: lapImport.id, createdAt: lapImport.createdAt })
    .from(lapImport)
    .where(eq(lapImport.clubId, clubId))
    .orderBy(asc(lapImport.createdAt), asc(lapImport.id));
  const classes = await tx
    .select({ meetingId: race.meetingId, id: race.id, classId: race.classId })
    .from(race)
    .where(eq(race.clubId, clubId))
    .orderBy(asc(race.meetingId), asc(race.id));
  const drivers = await selectDriverRows(tx, clubId);
  // A driver nobody said anything of changes nothing before he has laps.
  const told = drivers.filter(({ group, nightsBefore }) => group !== null || nightsBefore > 0);
  const all = JSON.stringify([paceEngine, over, imports, classes, told]);
  const meetings = over.map(({ id }) => id);
  const stamp = JSON.stringify([meetings, createHash('sha256').update(all).digest('base64url')]);
  return { meetings, any: meetings.length + imports.length > 0, stamp };
}

/** The meetings whose laps went into a fit, by its stamp. */
export const meetingsIn = (stamp: string): ReadonlySet<string> => new Set((JSON.parse(stamp) as [string[]])[0]);

/** What is known of the club's drivers beside their laps; archived ones too. */
export async function selectDriverRows(tx: ClubTx, clubId: string): Promise<DriverRow[]> {
  return tx
    .select({ driver: driver.id, group: driver.paceGroup, nightsBefore: driver.nightsBefore })
    .from(driver)
    .where(eq(driver.clubId, clubId))
    .orderBy(asc(driver.id));
}

/** Laps of some meetings, or of one driver; and of imports. */
export interface WhichLaps {
  /** Only of these meetings, and none that were imported. */
  readonly meetingIds?: readonly string[];
  readonly driverId?: string;
}

/** Laps as the model reads them, in memory as objects: for a driver or a night, not for a whole big club. */
export async function selectLapRows(tx: ClubTx, clubId: string, which: WhichLaps = {}): Promise<LapRow[]> {
  return [...lapsOf(await selectLapColumns(tx, clubId, which, { imports: which.meetingIds === undefined }))];
}

/** Laps in columns, read night by night so that nobody waits long for the event loop. */
export async function selectLapColumns(
  tx: ClubTx,
  clubId: string,
  which: WhichLaps,
  { imports }: { readonly imports: boolean },
): Promise<LapColumns> {
  const into = new LapColumnsBuilder();
  if (imports) await readImports(tx, clubId, which.driverId, into);
  const wanted = which.meetingIds && new Set(which.meetingIds);
  for (const night of await selectNights(tx, clubId)) {
    if (night.hasLaps && (wanted?.has(night.id) ?? true)) await readMeeting(tx, clubId, night, which.driverId, into);
  }
  return into.columns();
}

/** Instants at which the heats of a meeting were started first, on the server's scale, by heat. */
export async function selectHeatStarts(
  tx: ClubTx,
  clubId: string,
  meetingId: string,
): Promise<ReadonlyMap<string, number>> {
  return (await selectHeatStartsOf(tx, clubId, [meetingId])).get(meetingId) ?? new Map();
}

/** The same of several meetings, by meeting. */
export async function selectHeatStartsOf(
  tx: ClubTx,
  clubId: string,
  meetingIds: readonly string[],
): Promise<ReadonlyMap<string, ReadonlyMap<string, number>>> {
  const { meetingId, heatId, atUs } = heatEvent;
  const rows = await tx
    .select({ meetingId, heatId, startUs: sql`min(${atUs})`.mapWith(Number) })
    .from(heatEvent)
    .where(and(eq(heatEvent.clubId, clubId), inArray(meetingId, [...meetingIds]), eq(heatEvent.kind, 'start')))
    .groupBy(meetingId, heatId);
  const out = new Map<string, Map<string, number>>(meetingIds.map((id) => [id, new Map()]));
  for (const row of rows) out.get(row.meetingId)?.set(row.heatId, row.startUs);
  return out;
}

/** Laps of one driver in one heat in one text: a night has thousands. For {@link takeHeat}. */
export const lapsAsText = sql<string>`string_agg(concat(${lap.n}, ' ', ${lap.durationUs}, ' ', case when 'interrupted' = any(${lap.flags}) then 'call' end), ',' order by ${lap.n})`;

/** Times of other laps say little: judged by hand, shared out, or taken from two clocks. */
export const tellsPace = sql`not ${lap.flags} && array['mixed', 'split', 'ruled']`;

async function readMeeting(
  tx: ClubTx,
  clubId: string,
  { id: meetingId, trackId, night }: RaceNight,
  driverId: string | undefined,
  into: LapColumnsBuilder,
): Promise<void> {
  const starts = await selectHeatStarts(tx, clubId, meetingId);
  const firstUs = Math.min(...starts.values());
  const rows = await tx
    .select({
      heat: lap.heatId,
      lane: lap.lane,
      driver: lap.driverId,
      carClass: race.classId,
      laps: lapsAsText,
    })
    .from(lap)
    .innerJoin(heat, and(eq(heat.clubId, lap.clubId), eq(heat.meetingId, lap.meetingId), eq(heat.id, lap.heatId)))
    .innerJoin(race, and(eq(race.clubId, heat.clubId), eq(race.meetingId, heat.meetingId), eq(race.id, heat.raceId)))
    .where(
      and(
        eq(lap.clubId, clubId),
        eq(lap.meetingId, meetingId),
        driverId === undefined ? undefined : eq(lap.driverId, driverId),
        tellsPace,
      ),
    )
    .groupBy(lap.heatId, lap.lane, lap.driverId, race.classId)
    .orderBy(asc(lap.heatId), asc(lap.lane));
  for (const { laps, ...row } of rows) {
    const startUs = starts.get(row.heat);
    const startS = startUs === undefined ? 0 : (startUs - firstUs) / 1e6;
    takeHeat({ ...row, night, startS, track: trackId }, laps, into);
  }
}

async function readImports(
  tx: ClubTx,
  clubId: string,
  driverId: string | undefined,
  into: LapColumnsBuilder,
): Promise<void> {
  const imports = await tx
    .select({ id: lapImport.id, rows: lapImport.rows, nights: lapImport.nights })
    .from(lapImport)
    .where(eq(lapImport.clubId, clubId))
    .orderBy(asc(lapImport.createdAt), asc(lapImport.id));
  let before = 0;
  for (const { id, rows, nights } of imports) {
    const numbers = await selectImportNights(tx, clubId, id);
    const night = new Map(numbers.map((number, i) => [number, before + i + 1]));
    const step = driverId === undefined ? rowsAtOnce : rows;
    for (let from = 0; from < rows; from += step) {
      const found = await selectPastLaps(tx, clubId, id, { from, to: from + step, driverId });
      for (const { laps, ...row } of found) takeHeat({ ...row, night: night.get(row.night) ?? before + 1 }, laps, into);
    }
    before += nights;
  }
}

/** The numbers that nights of an import bear in its table, rising. */
async function selectImportNights(tx: ClubTx, clubId: string, importId: string): Promise<number[]> {
  const rows = await tx
    .selectDistinct({ night: pastLap.night })
    .from(pastLap)
    .where(and(eq(pastLap.clubId, clubId), eq(pastLap.importId, importId)))
    .orderBy(asc(pastLap.night));
  return rows.map(({ night }) => night);
}

async function selectPastLaps(
  tx: ClubTx,
  clubId: string,
  importId: string,
  { from, to, driverId }: { from: number; to: number; driverId: string | undefined },
) {
  const { night, heat, startS, track, lane, driverId: driver, classId } = pastLap;
  return tx
    .select({
      night,
      heat,
      startS,
      track,
      lane,
      driver,
      carClass: classId,
      laps: sql<string>`string_agg(concat(${pastLap.lap}, ' ', ${pastLap.timeUs}, ' ', ${pastLap.flag}), ',' order by ${pastLap.lap})`,
    })
    .from(pastLap)
    .where(
      and(
        eq(pastLap.clubId, clubId),
        eq(pastLap.importId, importId),
        gt(pastLap.row, from),
        lte(pastLap.row, to),
        driverId === undefined ? undefined : eq(driver, driverId),
      ),
    )
    .groupBy(night, heat, startS, track, lane, driver, classId)
    .orderBy(asc(night), asc(startS), asc(heat), asc(lane), asc(driver));
}

/** Takes in the laps of one driver in one heat, as the queries put them together. */
export function takeHeat(of: HeatOfDriver, laps: string, into: LapColumnsBuilder): void {
  into.heat(of);
  for (const one of laps.split(',')) {
    const [n, timeUs, flag] = one.split(' ');
    into.lap({ lap: Number(n), timeS: Number(timeUs) / 1e6, flag: (flag ?? '') as LapRow['flag'] });
  }
}
