import type { ClockBits } from '../heats/facts.ts';
import { ageUs, type ClockReading, type ClockState, readClock, youngestUs } from './offset.ts';

/** One crossing as a device reports it: its number in this boot, its lane and the instant on the device's own clock. */
export type ReportedCrossing = { readonly seq: number; readonly lane: number; readonly tUs: number };

/** Who reports: a sensor by its token, a timekeeper's phone by its session, or the server for a page without scripts. */
export type Reporter =
  | { readonly kind: 'sensor'; readonly id: string; readonly tokenHash: string }
  | { readonly kind: 'phone' | 'server'; readonly id: string; readonly name: string };

/** One request with crossings, whichever way it came. */
export type Report = {
  readonly reporter: Reporter;
  readonly boot: string;
  readonly bits: ClockBits;
  /** The device's clock as it sent the report, and the least round trip it has measured. */
  readonly sentUs: number;
  readonly rttUs: number | null;
  readonly receivedUs: number;
  /** A press whose id was seen before was reported already; null for devices that number their crossings. */
  readonly commandId: string | null;
  readonly crossings: readonly ReportedCrossing[];
};

/** Why a crossing is not kept as a fact: no such lane, later than its own report, or too old to be of any use. */
export type Rejection = 'lane' | 'future' | 'old';

/** What became of each number of a report. All four are final: the device may forget the numbers. */
export type ReportAnswer = {
  stored: number[];
  duplicate: number[];
  conflict: number[];
  rejected: { seq: number; why: Rejection }[];
};

/** A reported crossing on the server's scale. */
export type PlacedCrossing = ReportedCrossing & {
  readonly key: string;
  readonly deviceId: string;
  readonly boot: string;
  readonly atUs: number;
  readonly rejection: Rejection | null;
};

/** What is known of a lane and an instant under one number. */
export type Content = { readonly lane: number; readonly tUs: number };

/** An older crossing is of no heat that anybody still counts. */
export const oldestUs = 24 * 3_600_000_000;
/** A phone's page gives a request up after this time. */
const phoneWaitUs = 5_000_000;

export const bootKey = (deviceId: string, boot: string) => `${boot} ${deviceId}`;
export const crossingKey = (deviceId: string, boot: string, seq: number) => `${seq} ${bootKey(deviceId, boot)}`;

/**
 * Puts the crossings of a report on the server's scale.
 *
 * @param before what is known of the clock of this device and boot
 * @param lanes numbers of the track's lanes
 */
export function placeReport(
  report: Report,
  before: ClockState | null,
  lanes: ReadonlySet<number>,
): { clock: ClockReading; crossings: PlacedCrossing[] } {
  const { reporter, boot, bits, receivedUs, rttUs } = report;
  const longestWayUs = reporter.kind === 'phone' ? phoneWaitUs : null;
  const clock = readClock(before, { bits, sentUs: report.sentUs, receivedUs, rttUs, longestWayUs });
  const crossings = report.crossings.map((crossing) => {
    const age = ageUs(bits, report.sentUs, crossing.tUs);
    return {
      ...crossing,
      key: crossingKey(reporter.id, boot, crossing.seq),
      deviceId: reporter.id,
      boot,
      atUs: clock.sentUs - age + clock.offsetUs,
      rejection: rejectionOf(age, lanes.has(crossing.lane)),
    };
  });
  return { clock, crossings };
}

function rejectionOf(age: number, known: boolean): Rejection | null {
  if (!known) return 'lane';
  if (age < youngestUs) return 'future';
  return age > oldestUs ? 'old' : null;
}

/** The crossings to store: of each number the first that may be kept. */
export function firstOfEach(crossings: readonly PlacedCrossing[]): PlacedCrossing[] {
  const first = new Map<string, PlacedCrossing>();
  for (const crossing of crossings) {
    if (crossing.rejection === null && !first.has(crossing.key)) first.set(crossing.key, crossing);
  }
  return [...first.values()];
}

/** What became of one reported crossing. */
export type Fate = 'stored' | 'duplicate' | 'conflict' | Rejection;

/**
 * @param isNew whether this very crossing was stored just now
 * @param held what stands under its number; null when nothing does
 */
export function fateOf(crossing: PlacedCrossing, isNew: boolean, held: Content | null): Fate {
  if (isNew) return 'stored';
  if (held === null) return crossing.rejection ?? 'conflict';
  return held.lane === crossing.lane && held.tUs === crossing.tUs ? 'duplicate' : 'conflict';
}

/** Tells a device what became of its numbers. */
export function answerReport(fates: readonly { readonly seq: number; readonly fate: Fate }[]): ReportAnswer {
  const answer: ReportAnswer = { stored: [], duplicate: [], conflict: [], rejected: [] };
  for (const { seq, fate } of fates) {
    if (fate === 'stored' || fate === 'duplicate' || fate === 'conflict') answer[fate].push(seq);
    else answer.rejected.push({ seq, why: fate });
  }
  return answer;
}

/** The arm of a heat on the track, and whether the heat was confirmed. */
export type HeatWindow = { readonly atUs: number; readonly confirmed: boolean };

/**
 * Whether a crossing comes too late: its heat, that of the last arm at or before it, was confirmed.
 *
 * @param windows in order of instant, of two at one instant in order of writing
 */
export function isLate(atUs: number, windows: readonly HeatWindow[]): boolean {
  return windows.findLast((window) => window.atUs <= atUs)?.confirmed ?? false;
}
