/** Taps that the server has not answered yet, by page load, kept on the device. */

/** One press: the number of the tap in its boot, the lane, and the instant on the page's clock, microseconds. */
export type Tap = { seq: number; lane: number; t_us: number };

/** The taps of one page load. */
export type Boot = {
  boot: string;
  /** Wall time of this boot's zero, milliseconds: tells a later page load how old the taps are. */
  originMs: number;
  taps: Tap[];
};

type Store = Pick<Storage, 'getItem' | 'setItem' | 'removeItem' | 'key' | 'length'>;

function isBoot(value: unknown): value is Boot {
  const boot = value as Boot | null;
  return typeof boot?.boot === 'string' && typeof boot.originMs === 'number' && Array.isArray(boot.taps);
}

/** The queue of one place: a page load adds to its own boot and sends what earlier ones left behind. */
export class TapQueue {
  readonly own: Boot;
  readonly #earlier: Boot[];
  readonly #store: Store | null;
  readonly #prefix: string;
  #seq = 0;

  /**
   * @param place tells apart where taps go: another track's are not ours
   * @param store null where the device keeps nothing
   */
  constructor(place: string, boot: string, originMs: number, store: Store | null) {
    this.#prefix = `lanewise.taps ${place} `;
    this.#store = store;
    this.own = { boot, originMs, taps: [] };
    this.#earlier = this.#readEarlier();
  }

  /** Taps without an answer. */
  get size(): number {
    return this.boots().reduce((sum, { taps }) => sum + taps.length, 0);
  }

  /** Boots with unanswered taps, earlier ones first. */
  boots(): Boot[] {
    return [...this.#earlier, this.own].filter(({ taps }) => taps.length > 0);
  }

  add(lane: number, tUs: number): void {
    this.#seq += 1;
    this.own.taps.push({ seq: this.#seq, lane, t_us: tUs });
    this.#keep(this.own);
  }

  /** Forgets the taps whose numbers the server has answered: whatever it said of them is final. */
  answered(boot: Boot, seqs: ReadonlySet<number>): void {
    boot.taps = boot.taps.filter(({ seq }) => !seqs.has(seq));
    this.#keep(boot);
  }

  #keep(boot: Boot): void {
    try {
      if (boot.taps.length === 0) this.#store?.removeItem(this.#prefix + boot.boot);
      else this.#store?.setItem(this.#prefix + boot.boot, JSON.stringify(boot));
    } catch {
      // The device is full: the taps stay in memory for as long as the page is open.
    }
  }

  #readEarlier(): Boot[] {
    const found: Boot[] = [];
    for (let i = 0; i < (this.#store?.length ?? 0); i += 1) {
      const key = this.#store?.key(i);
      if (!key?.startsWith(this.#prefix)) continue;
      try {
        const boot: unknown = JSON.parse(this.#store?.getItem(key) ?? '');
        if (isBoot(boot)) found.push(boot);
      } catch {
        // Not ours.
      }
    }
    return found.sort((a, b) => a.originMs - b.originMs);
  }
}

/** The numbers in an answer: every list of it names taps that are final, as numbers or as objects with a `seq`. */
export function answeredSeqs(answer: unknown): Set<number> {
  const seqs = new Set<number>();
  if (typeof answer !== 'object' || answer === null) return seqs;
  for (const list of Object.values(answer)) {
    if (!Array.isArray(list)) continue;
    for (const item of list) {
      const seq = typeof item === 'object' && item !== null ? (item as { seq?: unknown }).seq : item;
      if (typeof seq === 'number') seqs.add(seq);
    }
  }
  return seqs;
}
