import type { ClockBits } from '../../heats/facts.ts';
import type { Random } from '../../shared/random.ts';

/**
 * A sensor as its makers should build one: it keeps every crossing until the server has said what became of it, sends
 * again after a pause that grows, and tells every two seconds how it is. Network and time are handed in.
 */

/** What came back. */
export type Reply = { readonly status: number; readonly retryAfterMs: number | null; readonly body: unknown };

export type Network = {
  /** `GET /api/v1/time` */
  askTime(): Promise<Reply>;
  /** Rejects when no answer came. */
  send(door: 'crossings' | 'heartbeat', body: unknown): Promise<Reply>;
};

export type SensorOptions = {
  readonly boot: string;
  readonly bits: ClockBits;
  /** Its clock, before any wrap. */
  nowUs(): number;
  /** Waits; rejects or returns early when the program ends. */
  pause(ms: number): Promise<void>;
  readonly network: Network;
  readonly random: Random;
};

type Held = { readonly seq: number; readonly lane: number; readonly t_us: number };

/** What became of the crossings of a sensor. */
export type SensorCounts = {
  /** Crossings it noted; requests with crossings; those that were sent again. */
  crossings: number;
  requests: number;
  retries: number;
  stored: number;
  duplicate: number;
  conflict: number;
  rejected: number;
  heartbeats: number;
};

export const heartbeatEveryMs = 2_000;
const atOnce = 100;
const firstPauseMs = 250;
const longestPauseMs = 8_000;
/** Answered crossings that are kept in case the server has to ask for them again. */
const keptAfterwards = 2_000;

/** The server will never take what was sent: another program or token is needed. */
export class SensorRefused extends Error {
  readonly status: number;

  constructor(status: number, sentence: string) {
    super(sentence);
    this.status = status;
  }
}

export class SimulatedSensor {
  readonly counts: SensorCounts = {
    crossings: 0,
    requests: 0,
    retries: 0,
    stored: 0,
    duplicate: 0,
    conflict: 0,
    rejected: 0,
    heartbeats: 0,
  };
  readonly #options: SensorOptions;
  #held: Held[] = [];
  #answered: Held[] = [];
  #nextSeq = 0;
  #pauseMs = firstPauseMs;
  #leastRttUs: number | null = null;
  #finalTo: number | null = null;

  constructor(options: SensorOptions) {
    this.#options = options;
  }

  /** Crossings without an answer. */
  get buffered(): number {
    return this.#held.length;
  }

  /** Notes a crossing. @param tUs instant on its own clock, before any wrap */
  cross(lane: number, tUs: number): void {
    this.#held.push({ seq: this.#nextSeq, lane, t_us: this.#shown(tUs) });
    this.#nextSeq += 1;
    this.counts.crossings += 1;
  }

  /**
   * Sends what it holds, once; after a failure it waits first, longer each time.
   *
   * @throws SensorRefused
   */
  async sendHeld(): Promise<void> {
    const events = this.#held.slice(0, atOnce);
    if (events.length === 0) return;
    this.counts.requests += 1;
    const reply = await this.#send('crossings', { events });
    if (reply?.status !== 200) {
      this.counts.retries += 1;
      await this.#waitAfter(reply);
      return;
    }
    this.#pauseMs = firstPauseMs;
    const final = new Set<number>();
    for (const kind of ['stored', 'duplicate', 'conflict'] as const) {
      for (const seq of numbersIn(reply.body, kind)) {
        this.counts[kind] += 1;
        final.add(seq);
      }
    }
    for (const seq of numbersIn(reply.body, 'rejected')) {
      this.counts.rejected += 1;
      final.add(seq);
    }
    this.#answered = [...this.#answered, ...this.#held.filter(({ seq }) => final.has(seq))].slice(-keptAfterwards);
    this.#held = this.#held.filter(({ seq }) => !final.has(seq));
  }

  /** Measures a round trip and sends a heartbeat; a heartbeat without an answer is not sent again. */
  async beat(): Promise<void> {
    const askedUs = this.#options.nowUs();
    const time = await this.#options.network.askTime().catch(() => null);
    if (time?.status === 200) {
      this.#leastRttUs = Math.min(this.#leastRttUs ?? Number.POSITIVE_INFINITY, this.#options.nowUs() - askedUs);
    }
    const reply = await this.#send('heartbeat', { buffered: this.buffered, rtt_us: this.#leastRttUs });
    if (reply?.status !== 200) return;
    this.counts.heartbeats += 1;
    const finalTo = numberIn(reply.body, 'final_to');
    // The server has lost what it had: a backup was put back. What is still here is sent again.
    if (this.#finalTo !== null && (finalTo ?? -1) < this.#finalTo) {
      const lost = this.#answered.filter(({ seq }) => seq > (finalTo ?? -1));
      this.#held = [...lost, ...this.#held];
      this.#answered = this.#answered.filter(({ seq }) => seq <= (finalTo ?? -1));
    }
    this.#finalTo = finalTo;
  }

  async #send(door: 'crossings' | 'heartbeat', more: object): Promise<Reply | null> {
    const { boot, bits, network } = this.#options;
    const body = { boot, bits, sent_us: this.#shown(this.#options.nowUs()), ...more };
    const reply = await network.send(door, body).catch(() => null);
    if (reply && [400, 401, 404, 413, 415].includes(reply.status)) {
      throw new SensorRefused(reply.status, textIn(reply.body, 'sentence'));
    }
    return reply;
  }

  async #waitAfter(reply: Reply | null): Promise<void> {
    // Not all sensors at the same moment.
    const pauseMs = this.#pauseMs * (0.75 + 0.5 * this.#options.random.unit());
    this.#pauseMs = Math.min(longestPauseMs, this.#pauseMs * 2);
    await this.#options.pause(Math.max(pauseMs, reply?.retryAfterMs ?? 0));
  }

  #shown(us: number): number {
    return this.#options.bits === 32 ? us % 2 ** 32 : us;
  }
}

const member = (body: unknown, key: string): unknown =>
  typeof body === 'object' && body !== null ? (body as Record<string, unknown>)[key] : undefined;

function numberIn(body: unknown, key: string): number | null {
  const value = member(body, key);
  return typeof value === 'number' ? value : null;
}

function textIn(body: unknown, key: string): string {
  const value = member(body, key);
  return typeof value === 'string' ? value : '';
}

/** Numbers of a list, also where they stand with a reason. */
function numbersIn(body: unknown, key: string): number[] {
  const list = member(body, key);
  if (!Array.isArray(list)) return [];
  return list.flatMap((one: unknown) => (typeof one === 'number' ? [one] : (numberIn(one, 'seq') ?? [])));
}
