/**
 * Keeps what was made for a short time, and makes it once for everybody who asks meanwhile: a page that a whole hall
 * opens at once is drawn once. Grows to `most` entries, then forgets the oldest.
 */
export class BriefCache<T> {
  readonly #made = new Map<string, { untilUs: number; value: Promise<T> }>();
  readonly #keepUs: number;
  readonly #most: number;

  constructor(keepUs: number, most = 100) {
    this.#keepUs = keepUs;
    this.#most = most;
  }

  /** What is kept under the key, or what `make` makes. A failure is not kept. */
  get(key: string, nowUs: number, make: () => Promise<T>): Promise<T> {
    const kept = this.#made.get(key);
    if (kept && nowUs < kept.untilUs) return kept.value;
    const value = make();
    this.#made.delete(key);
    this.#made.set(key, { untilUs: nowUs + this.#keepUs, value });
    value.catch(() => this.#made.delete(key));
    const [oldest] = this.#made.keys();
    if (this.#made.size > this.#most && oldest !== undefined) this.#made.delete(oldest);
    return value;
  }
}
