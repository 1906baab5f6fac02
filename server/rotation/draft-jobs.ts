import { type DrawProgress, drawing } from './draw.ts';
import { isRepair } from './repair.ts';
import type { DrawRequest, Rotation } from './rotation.ts';

/** How far a draw is, as a page shows it. */
export interface DraftState {
  /** The best so far; null until there is one. */
  readonly rotation: Rotation | null;
  /** Units of work done and in all. */
  readonly done: number;
  readonly of: number;
  readonly finished: boolean;
}

/** Draws a request; see `Work.run`. */
export type RunDraw = (
  request: DrawRequest,
  options: { signal: AbortSignal; onProgress(progress: DrawProgress): void },
) => Promise<Rotation>;

/** Times in milliseconds. */
export interface DraftPatience {
  /** A draw that a page asked after again and again stops when nobody has asked for so long: the director has left. */
  readonly polledMs: number;
  /** One that was looked at without asking again may run for so long: the page has no scripts. */
  readonly lookedMs: number;
  /** What was drawn is remembered for so long. */
  readonly keptMs: number;
  /** Draws that are remembered or run. */
  readonly most: number;
}

const patience: DraftPatience = { polledMs: 5_000, lookedMs: 5 * 60_000, keptMs: 15 * 60_000, most: 40 };

interface DraftJob {
  state: DraftState;
  readonly abort: AbortController;
  /** Settles when the first rotation is there, or the draw failed. */
  readonly first: Promise<void>;
  /** Settles at the end. */
  readonly end: Promise<Rotation>;
  /** What was shown, by the units of work done: stopping there gives the same again. */
  readonly shown: Map<number, Rotation>;
  timer: ReturnType<typeof setTimeout> | null;
}

/**
 * The draws that run in this process or ended a short while ago, by their requests: pages that ask for the same draw
 * attach to it. Nothing depends on it: a request gives the same draw in any process.
 */
export class DraftJobs {
  readonly #run: RunDraw;
  readonly #patience: DraftPatience;
  readonly #jobs = new Map<string, DraftJob>();

  constructor(run: RunDraw, wait: Partial<DraftPatience> = {}) {
    this.#run = run;
    this.#patience = { ...patience, ...wait };
  }

  /** Draws that are still running. */
  get running(): number {
    return [...this.#jobs.values()].filter(({ state }) => !state.finished).length;
  }

  /**
   * How far a draw is; starts it when it is not there.
   *
   * @param polled whether the page asks by itself again and again
   * @param wait how long to wait for the end, so that a short draw is shown finished, and for a first rotation
   * @throws what the draw throws
   */
  async look(
    request: DrawRequest,
    polled: boolean,
    wait: { readonly endMs: number; readonly firstMs: number },
  ): Promise<DraftState> {
    const stopped = this.#stoppedAt(request);
    if (stopped) return stopped;
    const job = this.#jobOf(request);
    if (!job.state.finished) await Promise.race([unlessStopped(job, job.end), pause(wait.endMs)]);
    if (job.state.rotation === null) await Promise.race([unlessStopped(job, job.first), pause(wait.firstMs)]);
    this.#watch(request, job, polled);
    const { state } = job;
    if (state.rotation) job.shown.set(state.done, state.rotation);
    return state;
  }

  /**
   * Draws to the end, or to where the request stops.
   *
   * @throws what the draw throws
   */
  async whole(request: DrawRequest): Promise<Rotation> {
    const stopped = this.#stoppedAt(request);
    if (stopped?.rotation) return stopped.rotation;
    const job = this.#jobOf(request);
    // Somebody waits for it, however slow the machine is.
    if (job.timer) clearTimeout(job.timer);
    const rotation = await job.end;
    this.#watch(request, job, false);
    return rotation;
  }

  /** Ends a draw that nobody will look at any more. */
  forget(request: DrawRequest): void {
    this.#end(keyOf(request));
  }

  /** Ends all of them. */
  close(): void {
    for (const key of [...this.#jobs.keys()]) this.#end(key);
  }

  /** A draw that was stopped where a page of this process showed it: known already, and its search can end. */
  #stoppedAt(request: DrawRequest): DraftState | null {
    if (request.steps === null || this.#jobs.has(keyOf(request))) return null;
    const key = keyOf({ ...request, steps: null });
    const whole = this.#jobs.get(key);
    const rotation = whole?.shown.get(request.steps);
    if (!whole || !rotation) return null;
    if (!whole.state.finished) this.#end(key);
    const state = { rotation, done: request.steps, of: whole.state.of, finished: true };
    const kept = { state, abort: new AbortController(), first: Promise.resolve(), end: Promise.resolve(rotation) };
    const job = { ...kept, shown: new Map(), timer: null };
    this.#jobs.set(keyOf(request), job);
    this.#watch(request, job, false);
    return state;
  }

  #jobOf(request: DrawRequest): DraftJob {
    const key = keyOf(request);
    const known = this.#jobs.get(key);
    if (known) {
      // The map's order is that of the last look.
      this.#jobs.delete(key);
      this.#jobs.set(key, known);
      return known;
    }
    const job = this.#start(request);
    this.#jobs.set(key, job);
    const [oldest] = this.#jobs.keys();
    if (this.#jobs.size > this.#patience.most && oldest !== undefined) this.#end(oldest);
    return job;
  }

  #start(request: DrawRequest): DraftJob {
    const abort = new AbortController();
    const begun = beginning(request);
    if (begun?.finished && begun.rotation) {
      const end = Promise.resolve(begun.rotation);
      return { state: begun, abort, first: Promise.resolve(), end, shown: new Map(), timer: null };
    }
    let found = () => {};
    const first = new Promise<void>((resolve) => {
      found = resolve;
    });
    const onProgress = ({ done, of, better }: DrawProgress) => {
      job.state = { rotation: better ?? job.state.rotation, done, of, finished: false };
      if (job.state.rotation) found();
    };
    const ran = Promise.resolve().then(() => this.#run(request, { signal: abort.signal, onProgress }));
    const end = ran.then((rotation) => {
      const { of } = job.state;
      job.state = { rotation, done: request.steps ?? of, of, finished: true };
      return rotation;
    });
    const job: DraftJob = {
      state: begun ?? { rotation: null, done: 0, of: 1, finished: false },
      abort,
      first: Promise.race([first, end.then(() => {})]),
      end,
      shown: new Map(),
      timer: null,
    };
    // A draw that failed is not remembered; whoever waits for it hears why.
    end.catch(() => {
      if (job.timer) clearTimeout(job.timer);
      if (this.#jobs.get(keyOf(request)) === job) this.#jobs.delete(keyOf(request));
    });
    job.first.catch(() => {});
    return job;
  }

  /** Sets the time after which the draw is given up or forgotten. */
  #watch(request: DrawRequest, job: DraftJob, polled: boolean): void {
    const { polledMs, lookedMs, keptMs } = this.#patience;
    if (job.timer) clearTimeout(job.timer);
    if (this.#jobs.get(keyOf(request)) !== job) return;
    const waitMs = job.state.finished ? keptMs : polled ? polledMs : lookedMs;
    job.timer = setTimeout(() => {
      // Nobody asked meanwhile, but what is finished by now is still worth keeping.
      if (job.state.finished && waitMs !== keptMs) this.#watch(request, job, false);
      else this.#end(keyOf(request));
    }, waitMs);
    job.timer.unref?.();
  }

  #end(key: string): void {
    const job = this.#jobs.get(key);
    if (!job) return;
    this.#jobs.delete(key);
    if (job.timer) clearTimeout(job.timer);
    job.abort.abort();
  }
}

/** Most drivers for whom first heats are made on the spot: some ten milliseconds of a small machine. */
const mostOnTheSpot = 60;

/**
 * The first heats of a draw, made at once, so that nobody looks at an empty page while other work is in the way; all of
 * them where a rule gives them. Null for a field that takes too long for that.
 */
function beginning(request: DrawRequest): DraftState | null {
  if (request.drivers.length + request.join.length > mostOnTheSpot) return null;
  const steps = drawing(request);
  const first = steps.next();
  if (first.done) return { rotation: first.value, done: 1, of: 1, finished: true };
  const { better, done, of } = first.value;
  const byRule = request.format === 'pairs' || (request.preset === 'step' && !isRepair(request));
  const second = byRule ? steps.next() : null;
  if (second?.done) return { rotation: second.value, done: of, of, finished: true };
  return { rotation: better, done, of, finished: false };
}

/** Waits for a draw; that somebody else stopped it is no failure. */
const unlessStopped = (job: DraftJob, what: Promise<unknown>) =>
  what.catch((error: unknown) => {
    if (!job.abort.signal.aborted) throw error;
  });

const keyOf = (request: DrawRequest) => JSON.stringify(request);

const pause = (ms: number) => new Promise<void>((resolve) => setTimeout(resolve, ms));
