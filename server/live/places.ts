/** Counts who holds how many of a limited number of places. */
export class Places {
  readonly #limit: number;
  readonly #held = new Map<string, number>();
  #total = 0;

  /** @param limit places there are in all */
  constructor(limit: number) {
    this.#limit = limit;
  }

  /** Takes a place for `holder`, who may have `limit` of them; false when that is too many, or none is left. */
  take(holder: string, limit: number): boolean {
    const held = this.#held.get(holder) ?? 0;
    if (this.#total >= this.#limit || held >= limit) return false;
    this.#held.set(holder, held + 1);
    this.#total += 1;
    return true;
  }

  /** Gives one place of `holder` back. */
  give(holder: string): void {
    const held = this.#held.get(holder) ?? 0;
    if (held > 1) this.#held.set(holder, held - 1);
    else this.#held.delete(holder);
    this.#total -= 1;
  }
}
