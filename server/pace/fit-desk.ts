import { randomInt } from 'node:crypto';
import type { FastifyInstance } from 'fastify';
import type { FitProgress } from './fit.ts';
import { selectDriverRows, selectLapColumns, selectPaceInputs } from './laps-store.ts';
import { deleteFits, insertFit, type StoredFit, selectOptionalLatestFit, updateFitStamp } from './pace-store.ts';

/** What a fit needs of the program. */
type Parts = Pick<FastifyInstance, 'db' | 'work' | 'clock' | 'log'>;

/** How far a fit is that runs now. */
export interface FitRun extends FitProgress {
  /** On the server's scale. */
  readonly sinceUs: number;
}

/** After a fit failed nobody tries again by himself for so long. */
const restUs = 60_000_000;

/** Presses and rulings come in bunches. */
const calmMs = 3_000;

/** Fits the clubs of this process: in the background, one fit a club at a time. */
export class FitDesk {
  readonly #parts: Parts;
  readonly #stop = new AbortController();
  readonly #runs = new Map<string, { run: FitRun; readonly end: Promise<void> }>();
  readonly #failedUs = new Map<string, number>();
  readonly #looks = new Map<string, ReturnType<typeof setTimeout>>();

  constructor(parts: Parts) {
    this.#parts = parts;
  }

  /**
   * The latest fit of a club, at once. Where laps or drivers have changed since, a new one is begun in the background.
   *
   * @returns null as long as there is none
   */
  async ensure(clubId: string): Promise<StoredFit | null> {
    const { latest, inputs } = await this.#parts.db.readClub(clubId, async (tx) => ({
      latest: await selectOptionalLatestFit(tx, clubId),
      inputs: await selectPaceInputs(tx, clubId, this.#today()),
    }));
    const isCurrent = latest ? latest.inputsStamp === inputs.stamp : !inputs.any;
    if (!isCurrent && !this.failed(clubId)) this.#begin(clubId, 'if changed');
    return latest;
  }

  /** Looks in a moment whether something has changed that asks for a new fit; many calls are one look. */
  soon(clubId: string, ms = calmMs): void {
    if (this.#stop.signal.aborted || this.#looks.has(clubId)) return;
    const timer = setTimeout(() => {
      this.#looks.delete(clubId);
      this.ensure(clubId).catch((error: unknown) => {
        if (!this.#stop.signal.aborted) this.#parts.log.error({ err: error }, 'changes of pace were not looked for');
      });
    }, ms);
    timer.unref();
    this.#looks.set(clubId, timer);
  }

  /** Begins a fit even where nothing has changed; one that runs goes on. */
  again(clubId: string): void {
    this.#begin(clubId, 'in any case');
  }

  /** The fit that runs for a club now; null where none does. */
  running(clubId: string): FitRun | null {
    return this.#runs.get(clubId)?.run ?? null;
  }

  /** Whether the last try failed a short while ago. */
  failed(clubId: string): boolean {
    const failedUs = this.#failedUs.get(clubId);
    return failedUs !== undefined && this.#parts.clock.nowUs() < failedUs + restUs;
  }

  /** Waits for the fit that runs for a club, whatever comes of it. */
  async settled(clubId: string): Promise<void> {
    await this.#runs.get(clubId)?.end;
  }

  /** Stops everything. */
  async close(): Promise<void> {
    this.#stop.abort();
    for (const timer of this.#looks.values()) clearTimeout(timer);
    await Promise.all([...this.#runs.values()].map(({ end }) => end));
  }

  #begin(clubId: string, when: 'if changed' | 'in any case'): void {
    if (this.#stop.signal.aborted || this.#runs.has(clubId)) return;
    this.#failedUs.delete(clubId);
    const end = this.#fit(clubId, when)
      .catch((error: unknown) => {
        if (this.#stop.signal.aborted) return;
        this.#failedUs.set(clubId, this.#parts.clock.nowUs());
        this.#parts.log.error({ err: error }, 'pace could not be worked out');
      })
      .finally(() => this.#runs.delete(clubId));
    this.#runs.set(clubId, { run: { done: 0, of: 1, sinceUs: this.#parts.clock.nowUs() }, end });
  }

  async #fit(clubId: string, when: 'if changed' | 'in any case'): Promise<void> {
    const { db, work } = this.#parts;
    const found = await db.readClub(clubId, async (tx) => {
      const { meetings, stamp } = await selectPaceInputs(tx, clubId, this.#today());
      const laps = await selectLapColumns(tx, clubId, { meetingIds: meetings }, { imports: true });
      const drivers = await selectDriverRows(tx, clubId);
      return { latest: await selectOptionalLatestFit(tx, clubId), laps, drivers, stamp };
    });
    const { latest, laps, drivers, stamp } = found;
    if (laps.lap.length === 0) return db.withClub(clubId, (tx) => deleteFits(tx, clubId));
    const unless = when === 'if changed' ? (latest?.fit.inputsHash ?? null) : null;
    // Nothing in a fit is drawn by lot today; its number stands with the result all the same.
    const seed = randomInt(2 ** 31);
    const fit = await work.run('paceFit', { laps, drivers, seed, unless }, this.#options(clubId));
    await db.withClub(clubId, async (tx) => {
      if (fit === null) return latest && updateFitStamp(tx, clubId, latest.n, stamp);
      const nights = new Set(laps.heats.map(({ night }) => night)).size;
      return insertFit(tx, clubId, { fit, laps: laps.lap.length, nights, inputsStamp: stamp });
    });
  }

  #options(clubId: string) {
    return {
      signal: this.#stop.signal,
      onProgress: (progress: FitProgress) => {
        const known = this.#runs.get(clubId);
        if (known) known.run = { ...known.run, ...progress };
      },
    };
  }

  #today(): string {
    return new Date(this.#parts.clock.nowUs() / 1000).toISOString().slice(0, 10);
  }
}

/**
 * The latest fit of a club, at once; where laps or drivers have changed since, a new one is begun in the background.
 *
 * @returns null as long as there is none
 */
export const ensureFit = (app: Pick<FastifyInstance, 'fits'>, clubId: string): Promise<StoredFit | null> =>
  app.fits.ensure(clubId);
