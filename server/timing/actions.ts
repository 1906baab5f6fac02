import type { ClubTx, Database } from '../../db/client.ts';
import { claimCommand } from '../accounts/store.ts';
import type { ClockBits } from '../heats/facts.ts';
import { ring } from '../live/notify.ts';
import { bumpPlan, takeFactNumbers } from '../tracks/store.ts';
import {
  type DeviceRow,
  hasCrossings,
  insertCrossings,
  insertDevices,
  insertSetAside,
  type NewCrossing,
  selectClocks,
  selectDevicesById,
  selectHeld,
  selectLaneNumbers,
  selectWindows,
  type TrackKey,
  updateDeviceBits,
  upsertClocks,
} from './ingest-store.ts';
import type { ClockState } from './offset.ts';
import {
  answerReport,
  bootKey,
  type Content,
  type Fate,
  fateOf,
  firstOfEach,
  isLate,
  type PlacedCrossing,
  placeReport,
  type Report,
  type ReportAnswer,
} from './reports.ts';

/** An answer that is on disk; or why the report as a whole was refused and nothing of it kept: its token is not valid,
 * or the device reported another width of its clock before. */
export type ReportOutcome = { answer: ReportAnswer } | { refused: 'token' | 'bits' };

type PlacedReport = { crossings: PlacedCrossing[] } | { refused: 'token' | 'bits' } | { repeated: number[] };

/**
 * Stores the crossings of several reports for one track, all or nothing, and rings the doorbell.
 *
 * The track's row lock puts everything that is written here in an order: a number is stored once however many copies of
 * its report come in at once, and a crossing is late exactly when its heat was confirmed before.
 *
 * @returns one outcome a report, after the commit
 */
export async function storeReports(
  db: Database,
  track: TrackKey,
  reports: readonly Report[],
): Promise<ReportOutcome[]> {
  return db.withClub(track.clubId, async (tx) => {
    const count = reports.reduce((sum, report) => sum + report.crossings.length, 0);
    const [firstFactNo, lanes, devices, clocks] = await Promise.all([
      takeFactNumbers(tx, track.clubId, track.trackId, count),
      selectLaneNumbers(tx, track),
      selectDevicesById(tx, track, [...new Set(reports.map(({ reporter }) => reporter.id))]),
      selectClocks(tx, track, distinctBoots(reports)),
    ]);
    if (firstFactNo === null) return reports.map(() => ({ refused: 'token' }));
    const desk: Desk = {
      tx,
      track,
      devices,
      clocks,
      lanes,
      news: new Map(),
    };
    const placed: PlacedReport[] = [];
    for (const report of reports) placed.push(await place(desk, report));
    const crossings = placed.flatMap((p) => ('crossings' in p ? p.crossings : []));
    const fates = await store(desk, crossings, firstFactNo);
    await keep(desk, fates);
    return placed.map((p) => outcomeOf(p, fates));
  });
}

/** What a batch works with: what was read at its beginning, and what has to be written of clocks at its end. */
type Desk = {
  tx: ClubTx;
  track: TrackKey;
  lanes: ReadonlySet<number>;
  devices: Map<string, DeviceRow>;
  clocks: Map<string, ClockState>;
  news: Map<string, { deviceId: string; boot: string; clock: ClockState }>;
};

function distinctBoots(reports: readonly Report[]): { deviceId: string; boot: string }[] {
  const boots = reports.map(({ reporter, boot }) => ({ deviceId: reporter.id, boot }));
  return [...new Map(boots.map((b) => [bootKey(b.deviceId, b.boot), b])).values()];
}

async function place(desk: Desk, report: Report): Promise<PlacedReport> {
  const { reporter, boot, commandId } = report;
  const device = await reportingDevice(desk, report);
  if (!device) return { refused: 'token' };
  if (!(await settleBits(desk, device, report.bits))) return { refused: 'bits' };
  if (commandId !== null && !(await claimCommand(desk.tx, desk.track.clubId, commandId))) {
    return { repeated: report.crossings.map(({ seq }) => seq) };
  }
  const key = bootKey(reporter.id, boot);
  const { clock, crossings } = placeReport(report, desk.clocks.get(key) ?? null, desk.lanes);
  if (clock.changed) {
    desk.clocks.set(key, clock.state);
    desk.news.set(key, { deviceId: reporter.id, boot, clock: clock.state });
  }
  return { crossings };
}

/** The device as it stands now: a token may have been taken back since the request came in. */
async function reportingDevice({ tx, track, devices }: Desk, { reporter, bits }: Report): Promise<DeviceRow | null> {
  const { kind, id } = reporter;
  const known = devices.get(id);
  if (kind === 'sensor') return known && !known.revoked && known.tokenHash === reporter.tokenHash ? known : null;
  if (known) return known;
  const device: DeviceRow = { id, bits, tokenHash: null, revoked: false };
  await insertDevices(tx, [{ ...track, id, kind, name: reporter.name, bits }]);
  devices.set(id, device);
  return device;
}

/** A new device says itself how wide its clock is; once it has crossings, they are counted with that width. */
async function settleBits({ tx, track, devices }: Desk, device: DeviceRow, bits: ClockBits): Promise<boolean> {
  if (device.bits === bits) return true;
  if (await hasCrossings(tx, track, device.id)) return false;
  await updateDeviceBits(tx, track, device.id, bits);
  await bumpPlan(tx, track.clubId, track.trackId);
  devices.set(device.id, { ...device, bits });
  return true;
}

type Fates = ReadonlyMap<PlacedCrossing, Fate>;

/** Appends what is new, and finds out what became of the rest. */
async function store({ tx, track }: Desk, crossings: readonly PlacedCrossing[], firstFactNo: number): Promise<Fates> {
  const candidates = firstOfEach(crossings);
  const fresh = new Set<PlacedCrossing>();
  if (candidates.length > 0) {
    const instants = candidates.map(({ atUs }) => atUs);
    const windows = await selectWindows(tx, track, Math.min(...instants), Math.max(...instants));
    const rows = candidates.map(
      (crossing, i): NewCrossing => ({ ...crossing, late: isLate(crossing.atUs, windows), factNo: firstFactNo + i }),
    );
    const appended = await insertCrossings(tx, track, rows);
    for (const crossing of candidates) if (appended.has(crossing.key)) fresh.add(crossing);
  }
  const others = crossings.filter((crossing) => !fresh.has(crossing));
  const held = others.length > 0 ? await selectHeld(tx, track, others) : new Map<string, Content>();
  return new Map(crossings.map((c) => [c, fateOf(c, fresh.has(c), held.get(c.key) ?? null)]));
}

/** Writes what else there is to know: clocks, and what was set aside. */
async function keep({ tx, track, news }: Desk, fates: Fates): Promise<void> {
  const aside = [...fates].flatMap(([crossing, why]) =>
    why === 'stored' || why === 'duplicate' ? [] : [{ ...crossing, why }],
  );
  const clocks = [...news.values()].map((row) => ({ ...track, ...row }));
  if (clocks.length > 0) await upsertClocks(tx, clocks);
  if (aside.length > 0) await insertSetAside(tx, track, aside);
  if (aside.length > 0 || [...fates.values()].includes('stored')) await ring(tx, track);
}

function outcomeOf(placed: PlacedReport, fates: Fates): ReportOutcome {
  if ('refused' in placed) return placed;
  if ('repeated' in placed) {
    return { answer: answerReport(placed.repeated.map((seq) => ({ seq, fate: 'duplicate' }))) };
  }
  return { answer: answerReport(placed.crossings.map((c) => ({ seq: c.seq, fate: fates.get(c) ?? 'conflict' }))) };
}
