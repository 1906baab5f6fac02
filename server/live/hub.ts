import type { ServerResponse } from 'node:http';
import type { Clock } from '../clock.ts';
import { encodeEvent } from './frame.ts';
import { type TrackKey, writeKey } from './notify.ts';
import { Places } from './places.ts';
import { Renderer, type Topic } from './renderer.ts';
import { Sink } from './sink.ts';

/** Silence for 2.5 of these, and a screen says that it is reconnecting. */
export const beatMs = 5_000;
/** First wait of a browser before it connects again. */
const retryMs = 500;

/** Who looks: decides how many streams one browser may hold, and when a stream must end. */
export type Viewer = {
  /** The same for every tab of one browser. */
  browser: string;
  /** How many streams this browser may hold. */
  limit: number;
  /** The session the stream depends on; null where everybody may look. */
  session: Session | null;
};

export type Session = { clubId: string; tokenHash: string };

type Parts = {
  clock: Clock;
  /** Most streams of this process. */
  limit: number;
  /** Which of these sessions of one club still run. */
  runningSessions(clubId: string, tokenHashes: string[]): Promise<ReadonlySet<string>>;
  onFailure(error: unknown): void;
};

/** Every live screen of this process. */
export class Hub {
  readonly #parts: Parts;
  readonly #places: Places;
  readonly #renderers = new Map<string, Renderer>();
  /** The open streams and the sessions they depend on. */
  readonly #sinks = new Map<Sink, Session | null>();
  #beat: NodeJS.Timeout | undefined;
  #closed = false;

  constructor(parts: Parts) {
    this.#parts = parts;
    this.#places = new Places(parts.limit);
  }

  /** Open streams. */
  get size(): number {
    return this.#sinks.size;
  }

  /**
   * Sends a topic until the browser leaves, its session ends or the hub closes.
   *
   * @param start writes the head of the answer; called when there is a first frame
   * @returns false, without having called `start`, when there is no room for one more stream
   * @throws what `topic.frame()` throws, without having called `start`
   */
  async open(topic: Topic, viewer: Viewer, start: () => ServerResponse): Promise<boolean> {
    if (this.#closed || !this.#places.take(viewer.browser, viewer.limit)) return false;
    const renderer = this.#rendererOf(topic);
    renderer.expected += 1;
    try {
      await renderer.first();
      this.#add(renderer, viewer, start());
      return true;
    } catch (error) {
      this.#places.give(viewer.browser);
      throw error;
    } finally {
      renderer.expected -= 1;
      this.#forgetIfUnseen(renderer);
    }
  }

  /** The doorbell of a track rang; null for one that may have rung unheard, of any track. */
  ring(key: TrackKey | null): void {
    for (const renderer of this.#renderers.values()) {
      if (key === null || writeKey(renderer.topic.track) === writeKey(key)) renderer.ring();
    }
  }

  /** Ends every stream; the browsers come back by themselves when there is a server again. */
  close(): void {
    this.#closed = true;
    this.#stopBeating();
    for (const renderer of this.#renderers.values()) renderer.stop();
    for (const sink of this.#sinks.keys()) sink.end();
  }

  #add(renderer: Renderer, viewer: Viewer, response: ServerResponse): void {
    const sink = new Sink(response);
    this.#sinks.set(sink, viewer.session);
    response.once('close', () => {
      this.#places.give(viewer.browser);
      this.#sinks.delete(sink);
      renderer.sinks.delete(sink);
      this.#forgetIfUnseen(renderer);
      if (this.#sinks.size === 0) this.#stopBeating();
    });
    sink.event(encodeEvent('beat', String(this.#parts.clock.nowUs()), retryMs));
    renderer.add(sink);
    if (this.#closed) sink.end();
    else this.#startBeating();
  }

  #rendererOf(topic: Topic): Renderer {
    const known = this.#renderers.get(topic.key);
    if (known) return known;
    const fresh = new Renderer(topic, this.#parts.clock, this.#parts.onFailure);
    this.#renderers.set(topic.key, fresh);
    return fresh;
  }

  #forgetIfUnseen(renderer: Renderer): void {
    if (renderer.sinks.size > 0 || renderer.expected > 0) return;
    renderer.stop();
    this.#renderers.delete(renderer.topic.key);
  }

  #startBeating(): void {
    this.#beat ??= setInterval(() => {
      const beat = encodeEvent('beat', String(this.#parts.clock.nowUs()));
      for (const sink of this.#sinks.keys()) sink.event(beat);
      this.#endSignedOut().catch(this.#parts.onFailure);
    }, beatMs).unref();
  }

  #stopBeating(): void {
    clearInterval(this.#beat);
    this.#beat = undefined;
  }

  /** Ends the streams whose session is over: one question a club. */
  async #endSignedOut(): Promise<void> {
    const clubs = new Map<string, Map<Sink, string>>();
    for (const [sink, session] of this.#sinks) {
      if (!session) continue;
      const hashes = clubs.get(session.clubId) ?? new Map<Sink, string>();
      clubs.set(session.clubId, hashes.set(sink, session.tokenHash));
    }
    for (const [clubId, hashes] of clubs) {
      const running = await this.#parts.runningSessions(clubId, [...new Set(hashes.values())]);
      for (const [sink, hash] of hashes) {
        if (running.has(hash)) continue;
        sink.event(encodeEvent('bye', 'signed out'));
        sink.end();
      }
    }
  }
}
