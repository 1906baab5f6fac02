/** Too much waits already, or no answer came in time. What was handed over may be carried out all the same. */
export class BusyError extends Error {}

export type BatcherOptions<T, R> = {
  /** Carries a batch out as a whole; answers in the order of the items. */
  run(key: string, items: readonly T[]): Promise<readonly R[]>;
  /** Greatest weight of a batch; a single item may weigh as much. */
  batchWeight: number;
  /** Greatest weight that may wait for its turn under all keys together. */
  waitingWeight: number;
  /** An item that has no answer after this time is refused; it may have been carried out all the same. */
  answerWithinMs: number;
};

type Waiting<T, R> = {
  item: T;
  weight: number;
  over: boolean;
  resolve(result: R): void;
  reject(error: unknown): void;
};

/** PostgreSQL's words for a value it does not take: only then can another item of the batch be at fault. */
const badValue = /^2[23]/;

/**
 * Gathers what comes in while the database is busy and carries it out together: one transaction, one flush to disk, and
 * every caller has an answer that is as good as its own transaction's. Batches under one key follow each other.
 */
export class Batcher<T, R> {
  readonly #options: BatcherOptions<T, R>;
  readonly #waiting = new Map<string, Waiting<T, R>[]>();
  #weight = 0;

  constructor(options: BatcherOptions<T, R>) {
    this.#options = options;
  }

  /** @throws BusyError; and whatever `run` throws */
  add(key: string, item: T, weight: number): Promise<R> {
    const { waitingWeight, answerWithinMs } = this.#options;
    if (this.#weight + weight > waitingWeight) return Promise.reject(new BusyError());
    this.#weight += weight;
    return new Promise<R>((resolve, reject) => {
      const end = () => {
        clearTimeout(timer);
        if (!waiting.over) this.#weight -= weight;
        waiting.over = true;
      };
      const waiting: Waiting<T, R> = {
        item,
        weight,
        over: false,
        resolve: (result) => {
          end();
          resolve(result);
        },
        reject: (error) => {
          end();
          reject(error);
        },
      };
      const timer = setTimeout(() => waiting.reject(new BusyError()), answerWithinMs);
      const line = this.#waiting.get(key);
      if (line) line.push(waiting);
      else {
        this.#waiting.set(key, [waiting]);
        // After everything that came in with this turn of the event loop.
        setImmediate(() => void this.#work(key));
      }
    });
  }

  async #work(key: string): Promise<void> {
    for (let line = this.#waiting.get(key); line && line.length > 0; line = this.#waiting.get(key)) {
      await this.#carryOut(key, this.#takeBatch(line));
    }
    this.#waiting.delete(key);
  }

  /** Takes the first items of a line, leaving out those that were refused meanwhile. */
  #takeBatch(line: Waiting<T, R>[]): Waiting<T, R>[] {
    const batch: Waiting<T, R>[] = [];
    let weight = 0;
    let taken = 0;
    for (const waiting of line) {
      if (!waiting.over) {
        if (batch.length > 0 && weight + waiting.weight > this.#options.batchWeight) break;
        batch.push(waiting);
        weight += waiting.weight;
      }
      taken += 1;
    }
    line.splice(0, taken);
    return batch;
  }

  async #carryOut(key: string, batch: readonly Waiting<T, R>[]): Promise<void> {
    if (batch.length === 0) return;
    try {
      const results = await this.#options.run(
        key,
        batch.map(({ item }) => item),
      );
      for (const [i, waiting] of batch.entries()) waiting.resolve(results[i] as R);
    } catch (error) {
      if (batch.length > 1 && badValue.test(sqlState(error))) {
        for (const waiting of batch) await this.#carryOut(key, [waiting]);
      } else {
        for (const waiting of batch) waiting.reject(error);
      }
    }
  }
}

/** The SQLSTATE of a failed statement; Drizzle wraps the driver's error. */
function sqlState(error: unknown): string {
  for (let at = error; typeof at === 'object' && at !== null; at = 'cause' in at ? at.cause : null) {
    if ('code' in at && typeof at.code === 'string') return at.code;
  }
  return '';
}
