import type { DriverRow, LapRow } from './lap-row.ts';

/**
 * Tells whether two fits had the same laps and drivers: 64 bits in hex, against mistakes and not against forgers. Two
 * rounds of FNV-1a (G. Fowler, L. C. Noll, K.-P. Vo) over 32-bit words, with different primes.
 */
export class InputsHash {
  #a = 0x811c9dc5;
  #b = 0x9747b28c;
  readonly #number = new Float64Array(1);
  readonly #words = new Uint32Array(this.#number.buffer);
  // Names come again and again: each is read once.
  readonly #texts = new Map<string, number>();

  lap(lap: LapRow): void {
    this.#put(lap.night);
    this.#put(this.#textOf(lap.heat));
    this.#put(lap.startS);
    this.#put(this.#textOf(lap.track));
    this.#put(lap.lane);
    this.#put(this.#textOf(lap.driver));
    this.#put(this.#textOf(lap.carClass));
    this.#put(lap.lap);
    this.#put(lap.timeS);
    this.#put(lap.flag.length);
  }

  driver(driver: DriverRow): void {
    this.#put(this.#textOf(driver.driver));
    this.#put(driver.group === null ? 0 : driver.group.length);
    this.#put(driver.nightsBefore);
  }

  hex(): string {
    return [this.#a, this.#b].map((word) => (word >>> 0).toString(16).padStart(8, '0')).join('');
  }

  #put(value: number) {
    this.#number[0] = value;
    for (let i = 0; i < 2; i++) {
      const word = this.#words[i] as number;
      this.#a = Math.imul(this.#a ^ word, 0x01000193);
      this.#a ^= this.#a >>> 15;
      this.#b = Math.imul(this.#b ^ word, 0x5bd1e995);
      this.#b ^= this.#b >>> 13;
    }
  }

  #textOf(text: string): number {
    const known = this.#texts.get(text);
    if (known !== undefined) return known;
    let hash = 0x811c9dc5;
    for (let i = 0; i < text.length; i++) hash = Math.imul(hash ^ text.charCodeAt(i), 0x01000193);
    this.#texts.set(text, hash >>> 0);
    return hash >>> 0;
  }
}
