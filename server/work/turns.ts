import { Refusal } from '../errors.ts';

/** Lets so many run at once and so many wait, first come, first served. */
export class Turns {
  #free: number;
  readonly #mostWaiting: number;
  readonly #waiting = new Set<() => void>();

  constructor(atOnce: number, mostWaiting: number) {
    this.#free = atOnce;
    this.#mostWaiting = mostWaiting;
  }

  /**
   * Waits for a turn; whoever got one gives it back with {@link release}.
   *
   * @throws Refusal `workBusy` when too many wait already; the signal's reason
   */
  async take(signal: AbortSignal): Promise<void> {
    signal.throwIfAborted();
    if (this.#free > 0) {
      this.#free -= 1;
      return;
    }
    if (this.#waiting.size >= this.#mostWaiting) throw new Refusal('workBusy');
    await new Promise<void>((resolve, reject) => {
      const give = () => {
        signal.removeEventListener('abort', leave);
        resolve();
      };
      const leave = () => {
        this.#waiting.delete(give);
        reject(signal.reason);
      };
      this.#waiting.add(give);
      signal.addEventListener('abort', leave, { once: true });
    });
  }

  release(): void {
    const [next] = this.#waiting;
    if (next) {
      this.#waiting.delete(next);
      next();
    } else {
      this.#free += 1;
    }
  }
}
