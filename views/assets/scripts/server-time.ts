/** How long a reading of the server's time is believed: slow clocks drift, and a laptop that slept has lost time. */
const keptMs = 60_000;

/**
 * The server's time, learnt from what the stream says. A word needs some time to get here, never less than none: of
 * several readings the one that puts the server furthest ahead is the nearest to the truth.
 */
export class ServerTime {
  #readings: { aheadUs: number; atMs: number }[] = [];

  /** Notes that the server said `serverUs` and that it was heard at `nowMs` of the page's own clock. */
  hear(serverUs: number, nowMs: number): void {
    this.#readings = this.#readings.filter(({ atMs }) => nowMs - atMs < keptMs);
    this.#readings.push({ aheadUs: serverUs - nowMs * 1000, atMs: nowMs });
  }

  /** Another server may have another time: begins anew. */
  forget(): void {
    this.#readings = [];
  }

  /** The server's time in microseconds, or null before it said any. */
  at(nowMs: number): number | null {
    if (this.#readings.length === 0) return null;
    return nowMs * 1000 + Math.max(...this.#readings.map(({ aheadUs }) => aheadUs));
  }
}
