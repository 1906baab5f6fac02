import type { Clock } from '../clock.ts';
import { encodeFrame } from './frame.ts';
import type { TrackKey } from './notify.ts';
import type { Sink } from './sink.ts';

/** What a page shows, whole. */
export type Frame = {
  /** The page's live regions: `<hx-partial hx-target="#id" hx-swap="outerMorph">…</hx-partial>`, one after the other. */
  html: string;
  /** The instant (server's scale) at which the frame changes although nothing happens: a countdown or a heat ends. */
  nextAtUs: number | null;
};

/** One page's content, the same for everyone who looks at it. */
export type Topic = {
  /** Tells topics apart; two topics of one key have the same frames. */
  key: string;
  /** Whose doorbell makes the frame worth looking at again. */
  track: TrackKey;
  frame(): Promise<Frame>;
};

/** Twenty frames a second are as smooth as anybody can read; a burst of crossings costs no more than that. */
const leastGapMs = 50;
const retryAfterMs = 1_000;
/** The longest wait a timer can keep. */
const longestTimerMs = 2 ** 31 - 1;

/** Renders one topic: once for all its screens, again whenever the doorbell rings, never twice at a time. */
export class Renderer {
  readonly topic: Topic;
  readonly sinks = new Set<Sink>();
  /** Screens that wait for the first frame. */
  expected = 0;
  readonly #clock: Clock;
  readonly #onFailure: (error: unknown) => void;
  #bytes: Buffer | null = null;
  #running: Promise<void> | null = null;
  #again = false;
  #timer: NodeJS.Timeout | undefined;
  #lastStart = Number.NEGATIVE_INFINITY;
  #stopped = false;

  constructor(topic: Topic, clock: Clock, onFailure: (error: unknown) => void) {
    this.topic = topic;
    this.#clock = clock;
    this.#onFailure = onFailure;
  }

  /** Resolves when there is a frame; rejects when the first one cannot be made. */
  async first(): Promise<void> {
    if (!this.#bytes) await (this.#running ?? this.#start());
  }

  add(sink: Sink): void {
    this.sinks.add(sink);
    if (this.#bytes) sink.frame(this.#bytes);
  }

  /** Something happened: the frame is made again, at once or after the one that is being made. */
  ring(): void {
    if (this.#stopped) return;
    if (this.#running) {
      this.#again = true;
      return;
    }
    const waitMs = this.#lastStart + leastGapMs - performance.now();
    if (waitMs > 0) return this.#wakeIn(waitMs);
    this.#start().catch((error: unknown) => {
      // The last frame stands until the next can be made.
      this.#onFailure(error);
      this.#wakeIn(retryAfterMs);
    });
  }

  stop(): void {
    this.#stopped = true;
    clearTimeout(this.#timer);
  }

  #start(): Promise<void> {
    this.#running = this.#render().finally(() => {
      this.#running = null;
      if (!this.#again) return;
      this.#again = false;
      this.ring();
    });
    return this.#running;
  }

  async #render(): Promise<void> {
    clearTimeout(this.#timer);
    this.#lastStart = performance.now();
    const { html, nextAtUs } = await this.topic.frame();
    this.#send(Buffer.from(encodeFrame(html)));
    if (nextAtUs !== null) this.#wakeIn((nextAtUs - this.#clock.nowUs()) / 1000 + 1);
  }

  #send(bytes: Buffer): void {
    if (this.#bytes?.equals(bytes)) return;
    this.#bytes = bytes;
    for (const sink of this.sinks) sink.frame(bytes);
  }

  #wakeIn(ms: number): void {
    if (this.#stopped) return;
    clearTimeout(this.#timer);
    this.#timer = setTimeout(() => this.ring(), Math.min(Math.max(ms, 0), longestTimerMs));
    this.#timer.unref();
  }
}
