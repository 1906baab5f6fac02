import { type Allowance, type Bucket, take } from './token-bucket.ts';

/** What one device may send, in every process of the server. */
const requests = { perSecond: 50, atOnce: 50 };
const crossings: Allowance = { perSecond: 500, atOnce: 500 };

/** Devices remembered; a device that was forgotten has its whole allowance. */
const kept = 10_000;

/** Keeps a device that runs wild from taking the server's time. */
export class DeviceLimits {
  readonly #items: Allowance;
  readonly #buckets = new Map<string, { requests: Bucket | null; items: Bucket | null }>();

  /** @param items what may come in all requests together: crossings, unless something else is said */
  constructor(items = crossings) {
    this.#items = items;
  }

  /**
   * @param device key of the device
   * @param count crossings, or whatever is counted, in its request
   * @param nowMs a clock that never steps back
   * @returns how long the device has to wait before it sends this again; 0 when it may go on
   */
  waitMs(device: string, count: number, nowMs: number): number {
    const before = this.#buckets.get(device) ?? { requests: null, items: null };
    const request = take(before.requests, requests, 1, nowMs);
    const taken = request.waitMs > 0 ? null : take(before.items, this.#items, count, nowMs);
    if (this.#buckets.size >= kept && !this.#buckets.has(device)) this.#buckets.clear();
    this.#buckets.set(device, { requests: request.bucket, items: taken ? taken.bucket : before.items });
    return taken ? taken.waitMs : request.waitMs;
  }
}
