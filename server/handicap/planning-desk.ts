import { setTimeout as sleep } from 'node:timers/promises';
import type { FastifyInstance } from 'fastify';
import { Refusal } from '../errors.ts';
import type { HeatState } from '../heats/fold.ts';
import { type NightPlan, readNightPlan, selectFactsMark } from './night-plan-store.ts';
import { keepHandicaps, type PlannedHeat } from './plan-actions.ts';
import { selectHeatHandicaps } from './store.ts';
import { surprisingWinner } from './surprise.ts';

/** What planning needs of the program. */
type Parts = Pick<FastifyInstance, 'db' | 'clock' | 'work' | 'fits' | 'log'>;

type Run = { again: boolean; end: Promise<void> };

/** When there is too much other work, it is tried again after this. */
const busyMs = 1000;
/** So often a plan that is overtaken by other changes begins anew; the next change or look begins it again. */
const mostRounds = 20;

/**
 * Works out the handicaps of heats to come in the background, one meeting at a time in this process. Whatever happens in
 * the meantime, what is written follows from the facts that stand when it is written.
 */
export class PlanningDesk {
  readonly #parts: Parts;
  readonly #stop = new AbortController();
  readonly #runs = new Map<string, Run>();
  readonly #waiting = new Set<Promise<void>>();
  /** Meetings by the facts that all of their handicaps are known to follow from. */
  readonly #done = new Map<string, string>();

  constructor(parts: Parts) {
    this.#parts = parts;
  }

  /** Something may have changed that handicaps follow from; answers at once. */
  look(clubId: string, meetingId: string): void {
    if (this.#stop.signal.aborted) return;
    const key = `${clubId}/${meetingId}`;
    const running = this.#runs.get(key);
    if (running) {
      running.again = true;
      return;
    }
    const run: Run = { again: false, end: Promise.resolve() };
    this.#runs.set(key, run);
    run.end = this.#rounds(clubId, meetingId, run)
      .catch((error: unknown) => {
        if (!this.#stop.signal.aborted) this.#parts.log.error({ err: error }, 'handicaps could not be worked out');
      })
      .finally(() => this.#runs.delete(key));
  }

  /** Heats that were won by far more than was to be expected, for results pages of directors. */
  async surprising(clubId: string, meetingId: string, heats: ReadonlyMap<string, HeatState>): Promise<Set<string>> {
    const { db, clock } = this.#parts;
    const told = await db.readClub(clubId, (tx) => selectHeatHandicaps(tx, clubId, meetingId));
    const nowUs = clock.nowUs();
    const surprise = ([id, state]: [string, HeatState]) => {
      const line = told.get(id);
      return line !== undefined && surprisingWinner(state, line, nowUs) !== null;
    };
    return new Set([...heats].filter(surprise).map(([id]) => id));
  }

  /** When nothing is being worked out any more. */
  async settled(): Promise<void> {
    while (this.#runs.size > 0 || this.#waiting.size > 0) {
      await Promise.all([...[...this.#runs.values()].map(({ end }) => end), ...this.#waiting]);
    }
  }

  async close(): Promise<void> {
    this.#stop.abort();
    await Promise.all([...[...this.#runs.values()].map(({ end }) => end), ...this.#waiting]);
  }

  async #rounds(clubId: string, meetingId: string, run: Run): Promise<void> {
    const key = `${clubId}/${meetingId}`;
    for (let round = 0; round < mostRounds; round += 1) {
      run.again = false;
      const found = await this.#parts.db.readClub(clubId, async (tx) => {
        const facts = await selectFactsMark(tx, clubId, meetingId);
        // Most of what is pressed changes no handicap.
        if (facts === null || facts === this.#done.get(key)) return null;
        return { facts, plan: await readNightPlan(tx, clubId, meetingId) };
      });
      if (found?.plan) {
        await this.#lookAgainAfterFit(clubId, meetingId);
        const outcome = await this.#round(clubId, found.plan, run);
        if (outcome === 'nothing to do') this.#done.set(key, found.facts);
        if (outcome !== 'nothing to do') continue;
      }
      if (!run.again) return;
    }
  }

  /** Old laps may just be read again: what comes of that changes what is expected of everybody. */
  async #lookAgainAfterFit(clubId: string, meetingId: string): Promise<void> {
    const { fits } = this.#parts;
    await fits.ensure(clubId);
    if (fits.running(clubId) === null) return;
    const waiting = fits.settled(clubId).then(() => this.look(clubId, meetingId));
    this.#waiting.add(waiting);
    waiting.finally(() => this.#waiting.delete(waiting));
  }

  /** Plans the next heat and writes it, then the others together; another round sees whether that is all. */
  async #round(clubId: string, plan: NightPlan, run: Run): Promise<'nothing to do' | 'done' | 'overtaken'> {
    const stale = plan.heats.filter(
      ({ told, inputs }) => told === null || told.inputs !== inputs || told.heatsSeen !== plan.heatsSeen,
    );
    const [first, ...later] = stale;
    if (!first) return 'nothing to do';
    const next = await this.#plan(first);
    if (!(await keepHandicaps(this.#parts.db, clubId, plan, [next]))) return 'overtaken';
    const planned: PlannedHeat[] = [];
    for (const heat of later) {
      if (run.again) break;
      planned.push(await this.#plan(heat));
    }
    // What was written for the next heat has changed the plan's number, and nothing else.
    const version = { ...plan.version, planNo: plan.version.planNo + 1 };
    const kept = await keepHandicaps(this.#parts.db, clubId, { ...plan, version }, planned);
    return kept ? 'done' : 'overtaken';
  }

  async #plan(toPlan: PlannedHeat['toPlan']): Promise<PlannedHeat> {
    const { request } = toPlan;
    if (request === null) return { toPlan, found: null };
    const { signal } = this.#stop;
    for (;;) {
      try {
        return { toPlan, found: await this.#parts.work.run('planHeat', request, { signal }) };
      } catch (error) {
        if (signal.aborted || !(error instanceof Refusal) || error.code !== 'workBusy') throw error;
        await sleep(busyMs, undefined, { signal });
      }
    }
  }
}
