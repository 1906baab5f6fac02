/**
 * A list that only grows at its end. `append` answers a longer list in constant time and leaves the shorter one as it
 * was: both share one array, and each sees as much of it as was there when it was made.
 */
export class AppendList<T> implements Iterable<T> {
  readonly length: number;
  readonly #items: T[];

  private constructor(items: T[], length: number) {
    this.#items = items;
    this.length = length;
  }

  static empty<T>(): AppendList<T> {
    return new AppendList<T>([], 0);
  }

  /** This list and the item after it. Appending twice to the same list copies it: the first one took the place. */
  append(item: T): AppendList<T> {
    const items = this.#items.length === this.length ? this.#items : this.#items.slice(0, this.length);
    items.push(item);
    return new AppendList(items, this.length + 1);
  }

  /** The item at an index from 0; negative indices count from the end; undefined where there is none. */
  at(index: number): T | undefined {
    const i = index < 0 ? this.length + index : index;
    return i >= 0 && i < this.length ? this.#items[i] : undefined;
  }

  toArray(): T[] {
    return this.#items.slice(0, this.length);
  }

  *[Symbol.iterator](): Iterator<T> {
    for (let i = 0; i < this.length; i++) yield this.#items[i] as T;
  }
}
