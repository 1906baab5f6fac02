import type { Database } from '../../db/client.ts';
import { timing as t } from '../../views/texts/en/timing.ts';
import { Refusal } from '../errors.ts';
import { type ReportOutcome, storeReports } from './actions.ts';
import { Batcher, BusyError } from './batcher.ts';
import type { TrackKey } from './ingest-store.ts';
import { DeviceLimits } from './limits.ts';
import type { Report, ReportAnswer } from './reports.ts';

/** A device sent more than it may; it keeps what it has and sends it again later. */
export class TooFast extends Refusal {
  readonly retryAfterSeconds: number;

  constructor(waitMs: number) {
    super('tooMany', t.tooFast);
    this.retryAfterSeconds = Math.max(1, Math.ceil(waitMs / 1000));
  }
}

/** The one way in for crossings of a process, whichever door they came through. */
export class Ingest {
  readonly #limits = new DeviceLimits();
  readonly #batcher: Batcher<Report, ReportOutcome>;
  readonly #tracks = new Map<string, TrackKey>();

  constructor(db: Database) {
    this.#batcher = new Batcher({
      run: (key, reports) => storeReports(db, this.#tracks.get(key) as TrackKey, reports),
      batchWeight: 500,
      waitingWeight: 10_000,
      answerWithinMs: 5_000,
    });
  }

  /**
   * Takes note of a request of a device.
   *
   * @param count crossings in it
   * @throws TooFast
   */
  admit(track: TrackKey, deviceId: string, count: number): void {
    const waitMs = this.#limits.waitMs(`${keyOf(track)}/${deviceId}`, count, performance.now());
    if (waitMs > 0) throw new TooFast(waitMs);
  }

  /**
   * Stores a report together with whatever else comes in at this moment.
   *
   * @returns what became of its crossings, once that is on disk
   * @throws Refusal: the device's token does not hold, its clock has another width than before, or the database is busy
   */
  async store(track: TrackKey, report: Report): Promise<ReportAnswer> {
    const key = keyOf(track);
    this.#tracks.set(key, track);
    const outcome = await this.#batcher.add(key, report, report.crossings.length).catch((error: unknown) => {
      throw error instanceof BusyError ? new Refusal('busy') : error;
    });
    if ('answer' in outcome) return outcome.answer;
    if (outcome.refused === 'token') throw new Refusal('noToken');
    throw new Refusal('malformed', t.bitsChanged(report.bits));
  }
}

const keyOf = ({ clubId, trackId }: TrackKey) => `${clubId}/${trackId}`;
