/** Whole numbers out of what comes in over a serial port. Pure: no browser. */
export class SerialLines {
  /** The beginning of a line whose end has not come yet. */
  #rest = '';
  /** The first line may have begun before the port was opened, and then lacks its front. */
  #isFirst = true;
  readonly counts: number[] = [];
  readonly #most: number;

  /** @param most readings beyond it are passed over */
  constructor(most: number) {
    this.#most = most;
  }

  /** Takes in a piece of text, wherever it was cut. Lines that are no whole number are passed over. */
  add(text: string): void {
    const lines = (this.#rest + text).split(/\r\n|\r|\n/);
    this.#rest = (lines.pop() ?? '').slice(-longestLine);
    for (const line of lines) {
      const isFirst = this.#isFirst;
      this.#isFirst = false;
      if (!isFirst && /^\s*\d{1,6}\s*$/.test(line) && this.counts.length < this.#most) this.counts.push(Number(line));
    }
  }
}

const longestLine = 200;
