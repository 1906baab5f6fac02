/** The fewest values that have a median worth asking for. */
const fewest = 5;

/** The median of the values added so far. */
export class RunningMedian {
  /** By rising value. */
  readonly #values: number[] = [];

  add(value: number): void {
    let low = 0;
    let high = this.#values.length;
    while (low < high) {
      const middle = (low + high) >> 1;
      if ((this.#values[middle] as number) <= value) low = middle + 1;
      else high = middle;
    }
    this.#values.splice(low, 0, value);
  }

  /**
   * Twice the median (of an even number of values the median is the mean of the middle two: twice it is an integer),
   * or null as long as there are fewer than five values.
   */
  get twice(): number | null {
    const { length } = this.#values;
    if (length < fewest) return null;
    return (this.#values[(length - 1) >> 1] as number) + (this.#values[length >> 1] as number);
  }
}
