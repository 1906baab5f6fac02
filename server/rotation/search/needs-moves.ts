import type { Random } from '../../shared/random.ts';
import { below } from './annealing.ts';
import type { NightCost } from './needs-cost.ts';
import type { NightHeats } from './needs-heats.ts';

/** A swap that was made; made once more (with the drivers exchanged) it is undone. */
interface Swap {
  readonly a: number;
  readonly b: number;
  readonly bits: number;
  readonly leavesA: number;
  readonly leavesB: number;
}

/** Most heats that a moved heat passes, or that are turned round less one. */
const longestStretch = 6;

/**
 * Changes of the heats from `from` on that keep everybody's runs on every lane, and heats within one car of each other.
 * Each answers the change of cost if it was made, or null when nothing was: there was no such change, or it costs more
 * than `limit`.
 */
export class NightMoves {
  /** Work done, in nominal nanoseconds: counted, never measured. */
  spentNs = 0;
  readonly #night: NightHeats;
  readonly #cost: NightCost;
  readonly #from: number;
  readonly #random: Random;
  /** Smallest and largest heat that may change. */
  readonly #smallest: number;
  readonly #largest: number;
  /** What neighbours, take-overs and announced seats may give back at most, roughly: costlier moves are not tried. */
  readonly #slack: number;
  readonly #exchangeNs: number;
  readonly #swapNs: number;
  readonly #orderNs: number;

  constructor(night: NightHeats, cost: NightCost, from: number, random: Random) {
    this.#night = night;
    this.#cost = cost;
    this.#from = from;
    this.#random = random;
    const { lanes, heats } = night;
    const { neighbours, carryOver, changedSeat } = cost.weights;
    this.#slack = 6 * (neighbours + carryOver) + 2 * lanes * changedSeat;
    this.#exchangeNs = 54 * lanes + 16 * heats;
    this.#swapNs = 155 * lanes;
    this.#orderNs = (11 * heats + 155) * lanes;
    const sizes = night.sizes.subarray(from);
    this.#smallest = sizes.reduce((least, size) => Math.min(least, size), night.lanes);
    this.#largest = sizes.reduce((most, size) => Math.max(most, size), 0);
  }

  #anyHeat(): number {
    return this.#from + below(this.#night.heats - this.#from, this.#random);
  }

  /** Swaps a chain of lanes between two heats: at most one driver goes either way. */
  chain(limit: number): number | null {
    const night = this.#night;
    const a = this.#anyHeat();
    const b = this.#anyHeat();
    const lane = below(night.lanes, this.#random);
    this.spentNs += 310;
    if (a === b || night.seat(a, lane) === night.seat(b, lane)) return null;
    const bits = night.chain(a, b, lane);
    let leavesA = -1;
    let leavesB = -1;
    for (let l = 0; l < night.lanes; l += 1) {
      if (((bits >> l) & 1) === 0) continue;
      const x = night.seat(a, l);
      const y = night.seat(b, l);
      if (x >= 0 && night.laneOf(x, b) < 0) leavesA = x;
      if (y >= 0 && night.laneOf(y, a) < 0) leavesB = y;
    }
    const grows = (leavesB >= 0 ? 1 : 0) - (leavesA >= 0 ? 1 : 0);
    if (grows > 0 && ((night.sizes[a] as number) >= this.#largest || (night.sizes[b] as number) <= this.#smallest)) {
      return null;
    }
    if (grows < 0 && ((night.sizes[b] as number) >= this.#largest || (night.sizes[a] as number) <= this.#smallest)) {
      return null;
    }
    this.spentNs += this.#exchangeNs;
    const first = this.#cost.exchangeCost(a, b, leavesA, leavesB);
    if (first > limit + this.#slack) return null;
    this.spentNs += this.#swapNs;
    const change = first + this.#cost.swap(a, b, bits, leavesA, leavesB);
    if (change <= limit) return change;
    this.#cost.swap(a, b, bits, leavesB, leavesA);
    return null;
  }

  /** Another order of heats: two change places, one moves, or a stretch is turned round. */
  order(limit: number): number | null {
    const kind = below(3, this.#random);
    const a = this.#anyHeat();
    const b = kind === 0 ? this.#anyHeat() : a + below(2 * longestStretch + 1, this.#random) - longestStretch;
    this.spentNs += 155;
    if (a === b || b < this.#from || b >= this.#night.heats) return null;
    const [low, high] = a < b ? [a, b] : [b, a];
    const made: Swap[] = [];
    let change = 0;
    if (kind === 0) change = this.#change(a, b, made);
    else if (kind === 1) for (let h = low; h < high; h += 1) change += this.#change(h, h + 1, made);
    else for (let i = low, j = high; i < j; i += 1, j -= 1) change += this.#change(i, j, made);
    if (change <= limit) return change;
    for (const { a: x, b: y, bits } of made.reverse()) this.#cost.swap(x, y, bits, -1, -1);
    return null;
  }

  #change(a: number, b: number, made: Swap[]): number {
    const bits = (1 << this.#night.lanes) - 1;
    this.spentNs += this.#orderNs;
    const first = this.#cost.orderCost(a, b);
    made.push({ a, b, bits, leavesA: -1, leavesB: -1 });
    return first + this.#cost.swap(a, b, bits, -1, -1);
  }

  /**
   * Swaps two lanes in so many heats that everybody's runs on them stay as many: whoever comes to the second lane goes
   * back in another of these heats. Changes who is beside whom, not who meets whom.
   */
  lanes(limit: number): number | null {
    const night = this.#night;
    const one = below(night.lanes, this.#random);
    const other = below(night.lanes, this.#random);
    if (one === other) return null;
    const first = this.#anyHeat();
    const home = night.seat(first, one);
    const made: number[] = [];
    let change = 0;
    this.spentNs += 155;
    for (let heat = first; ; ) {
      this.spentNs += 530;
      const owing = night.seat(heat, other);
      if (owing === night.seat(heat, one)) break;
      change += this.#cost.swapLanes(heat, one, other);
      made.push(heat);
      if (owing === home) {
        if (change <= limit) return change;
        break;
      }
      heat = this.#heatWith(owing, one, made);
      if (heat < 0) break;
    }
    for (const heat of made.reverse()) this.#cost.swapLanes(heat, one, other);
    return null;
  }

  /** A heat, not among these, that has a driver (-1: nobody) on a lane; -1: none. */
  #heatWith(driver: number, lane: number, without: readonly number[]): number {
    const open = this.#night.heats - this.#from;
    const start = below(open, this.#random);
    for (let i = 0; i < open; i += 1) {
      const heat = this.#from + ((start + i) % open);
      if (this.#night.seat(heat, lane) === driver && !without.includes(heat)) return heat;
    }
    return -1;
  }
}
