import type { ServerResponse } from 'node:http';

/** More than this unsent, and the screen is dropped: it connects again and gets the newest frame. */
const unsentLimitBytes = 64 * 1024;
/** A connection that took nothing for this long is dead, however little is unsent. */
const stuckLimitMs = 20_000;

/**
 * One screen's connection. A screen that is slow to read never makes a queue: as long as it has not taken what was
 * written, only the newest frame is kept for it.
 */
export class Sink {
  readonly #response: ServerResponse;
  #waiting: Buffer | null = null;
  #blockedSince: number | null = null;

  constructor(response: ServerResponse) {
    this.#response = response;
    response.on('drain', () => {
      this.#blockedSince = null;
      const frame = this.#waiting;
      this.#waiting = null;
      if (frame) this.#write(frame);
    });
  }

  /** Sends a frame now, or later if it is still the newest then. */
  frame(bytes: Buffer): void {
    if (this.#blockedSince === null) this.#write(bytes);
    else if (!this.#dropWhenStuck()) this.#waiting = bytes;
  }

  /** Sends a few bytes that must not be skipped. */
  event(text: string): void {
    if (!this.#dropWhenStuck()) this.#write(text);
  }

  /** Ends the stream after what was written. */
  end(): void {
    this.#response.end();
  }

  #write(bytes: Buffer | string): void {
    if (this.#response.destroyed || this.#response.writableEnded) return;
    if (!this.#response.write(bytes)) this.#blockedSince ??= performance.now();
  }

  #dropWhenStuck(): boolean {
    if (this.#blockedSince === null) return false;
    const stuck = performance.now() - this.#blockedSince > stuckLimitMs;
    if (!stuck && this.#response.writableLength <= unsentLimitBytes) return false;
    this.#response.destroy();
    return true;
  }
}
