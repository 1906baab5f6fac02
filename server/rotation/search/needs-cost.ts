import type { NightHeats } from './needs-heats.ts';
import { leftOf, type NightWeights, weightsOfNight } from './needs-weights.ts';
import { longSitOut } from './score.ts';
import type { DrawTask } from './task.ts';

/**
 * What a night costs, kept up to date while heats are changed. Everything counts over the whole night: the heats run
 * and those to come. Terms are those of `NightWeights`; meetings are held against what two drivers' runs let expect.
 */
export class NightCost {
  readonly #night: NightHeats;
  /** What counts how much in this night. */
  readonly weights: NightWeights;
  /** Cost of the night as it was given. */
  readonly startCost: number;
  /** Heats that a driver may sit out in a row for nothing. */
  readonly #allowedWait: number;
  /** Where the wait of each driver begins: heat -1, or the last heat run for somebody who has not run yet. */
  readonly #waitsFrom: Int16Array;
  /** met[i * drivers + j] = met[j * drivers + i]: heats shared. */
  readonly #met: Int16Array;
  /** Twice the expected meetings of two drivers times the weight of pairs, rounded. */
  readonly #expected: Int32Array;
  /** Heats side by side of two drivers, under the smaller index first. */
  readonly #beside: Int16Array;
  /** Take-overs of a lane, first driver times drivers plus next driver. */
  readonly #tookOver: Int16Array;
  readonly #isBeside: Uint8Array;
  /** Announced seats of the heats to come, or -1 where none counts. */
  readonly #announced: Int16Array;
  readonly #ran: number;

  constructor(night: NightHeats, task: DrawTask, weights: NightWeights = weightsOfNight(task)) {
    const n = night.drivers;
    this.#night = night;
    this.#ran = task.done.length;
    this.weights = weights;
    this.#allowedWait = longSitOut(leftOf(task));
    this.#isBeside = Uint8Array.from(task.lanes, (lane, l) => (task.lanes[l + 1] === lane + 1 ? 1 : 0));
    this.#met = new Int16Array(n * n);
    this.#beside = new Int16Array(n * n);
    this.#tookOver = new Int16Array(n * n);
    this.#waitsFrom = new Int16Array(n).fill(-1);
    for (let d = 0; d < n; d += 1) {
      // Somebody who has not run for longer than others ever wait has come late, and waits only from now on.
      const late = this.#ran > this.#allowedWait && !task.done.some((row) => row.includes(d));
      if (late) this.#waitsFrom[d] = this.#ran - 1;
    }
    this.#expected = expectedMeetings(night, this.weights.pairs);
    this.#announced = new Int16Array(task.heats * night.lanes).fill(-1);
    for (const [i, row] of task.published.slice(0, task.heats).entries()) {
      for (let l = 0; l < night.lanes; l += 1) this.#announced[i * night.lanes + l] = row[l] ?? -1;
    }
    this.startCost = this.#countAll();
  }

  /** Cost of exchanging one driver of heat a with one of heat b (-1: nobody): meetings, rest and time of night. */
  exchangeCost(a: number, b: number, leavesA: number, leavesB: number): number {
    return (
      this.#meetingsChange(a, b, leavesA, leavesB) +
      (leavesA >= 0 ? this.#restChange(leavesA, a, b) : 0) +
      (leavesB >= 0 ? this.#restChange(leavesB, b, a) : 0)
    );
  }

  /** Cost in rest and time of night of two heats changing places. */
  orderCost(a: number, b: number): number {
    let change = 0;
    for (let lane = 0; lane < this.#night.lanes; lane += 1) {
      const x = this.#night.seat(a, lane);
      const y = this.#night.seat(b, lane);
      if (x >= 0 && this.#night.laneOf(x, b) < 0) change += this.#restChange(x, a, b);
      if (y >= 0 && this.#night.laneOf(y, a) < 0) change += this.#restChange(y, b, a);
    }
    return change;
  }

  /**
   * Swaps lanes between two heats and answers the cost in neighbours, take-overs and announced seats.
   *
   * @param leavesA, leavesB who then changes heats, to count their meetings; -1: nobody, or whole heats change places
   */
  swap(a: number, b: number, bits: number, leavesA: number, leavesB: number): number {
    if (leavesA >= 0 || leavesB >= 0) this.#moveMeetings(a, b, leavesA, leavesB);
    let change = this.#around(a, b, bits, -1);
    this.#night.swap(a, b, bits);
    change += this.#around(a, b, bits, 1);
    return change;
  }

  /** Swaps two lanes within a heat and answers the cost. */
  swapLanes(heat: number, one: number, other: number): number {
    const bits = (1 << one) | (1 << other);
    let change = this.#around(heat, heat, bits, -1);
    this.#night.swapLanes(heat, one, other);
    change += this.#around(heat, heat, bits, 1);
    return change;
  }

  #meetingsChange(a: number, b: number, x: number, y: number): number {
    const n = this.#night.drivers;
    const weight = this.weights.pairs;
    let change = 0;
    for (let lane = 0; lane < this.#night.lanes; lane += 1) {
      const inA = this.#night.seat(a, lane);
      if (inA >= 0 && inA !== x && this.#night.laneOf(inA, b) < 0) {
        if (x >= 0) change -= this.#step(x * n + inA, -1, weight);
        if (y >= 0) change += this.#step(y * n + inA, 0, weight);
      }
      const inB = this.#night.seat(b, lane);
      if (inB >= 0 && inB !== y && this.#night.laneOf(inB, a) < 0) {
        if (x >= 0) change += this.#step(x * n + inB, 0, weight);
        if (y >= 0) change -= this.#step(y * n + inB, -1, weight);
      }
    }
    return change;
  }

  /** The weighted square gained by one more meeting than `met + by`. */
  #step(pair: number, by: number, weight: number): number {
    return weight * (2 * ((this.#met[pair] as number) + by) + 1) - (this.#expected[pair] as number);
  }

  #moveMeetings(a: number, b: number, x: number, y: number): void {
    for (let lane = 0; lane < this.#night.lanes; lane += 1) {
      const inA = this.#night.seat(a, lane);
      if (inA >= 0 && inA !== x && this.#night.laneOf(inA, b) < 0) {
        if (x >= 0) this.#meet(x, inA, -1);
        if (y >= 0) this.#meet(y, inA, 1);
      }
      const inB = this.#night.seat(b, lane);
      if (inB >= 0 && inB !== y && this.#night.laneOf(inB, a) < 0) {
        if (x >= 0) this.#meet(x, inB, 1);
        if (y >= 0) this.#meet(y, inB, -1);
      }
    }
  }

  #meet(i: number, j: number, by: number): void {
    const n = this.#night.drivers;
    this.#met[i * n + j] = (this.#met[i * n + j] as number) + by;
    this.#met[j * n + i] = (this.#met[j * n + i] as number) + by;
  }

  /** Cost of one driver's run moving from one heat to another. */
  #restChange(driver: number, from: number, to: number): number {
    return this.#rest(driver, from, to) - this.#rest(driver, -1, -1);
  }

  /** Back-to-backs, long waits and distance from mid-night of one driver, without a run and with another. */
  #rest(driver: number, without: number, and: number): number {
    const { heats, laneAt } = this.#night;
    const { backToBack, sitOut, midNight } = this.weights;
    const allowed = this.#allowedWait;
    let last = this.#waitsFrom[driver] as number;
    let runs = 0;
    let sum = 0;
    let cost = 0;
    for (let h = last + 1; h < heats; h += 1) {
      if (h !== and && ((laneAt[driver * heats + h] as number) < 0 || h === without)) continue;
      const wait = h - last - 1;
      if (wait === 0 && runs > 0) cost += backToBack;
      if (wait > allowed) cost += sitOut * (wait - allowed) * (wait - allowed);
      last = h;
      runs += 1;
      sum += h + 1;
    }
    const wait = heats - last - 1;
    if (wait > allowed) cost += sitOut * (wait - allowed) * (wait - allowed);
    return cost + midNight * Math.abs(2 * sum - runs * (heats + 1));
  }

  /** Takes away or puts back what hangs on these lanes of one or two heats; answers the change of cost. */
  #around(a: number, b: number, bits: number, by: 1 | -1): number {
    let change = this.#sideBySide(a, bits, by) + this.#changedSeats(a, bits, by);
    if (b !== a) change += this.#sideBySide(b, bits, by) + this.#changedSeats(b, bits, by);
    for (let lane = 0; lane < this.#night.lanes; lane += 1) {
      if (((bits >> lane) & 1) === 0) continue;
      change += this.#takeOver(a, lane, by) + this.#takeOver(a + 1, lane, by);
      if (b === a) continue;
      if (b !== a + 1) change += this.#takeOver(b, lane, by);
      if (b + 1 !== a) change += this.#takeOver(b + 1, lane, by);
    }
    return change;
  }

  #sideBySide(heat: number, bits: number, by: 1 | -1): number {
    const n = this.#night.drivers;
    const touched = bits | (bits >> 1);
    let change = 0;
    for (let lane = 0; lane + 1 < this.#night.lanes; lane += 1) {
      if (((touched >> lane) & 1) === 0 || this.#isBeside[lane] === 0) continue;
      const x = this.#night.seat(heat, lane);
      const y = this.#night.seat(heat, lane + 1);
      if (x >= 0 && y >= 0) change += this.#count(this.#beside, x < y ? x * n + y : y * n + x, by);
    }
    return this.weights.neighbours * change;
  }

  /** The take-over of a lane from the heat before. */
  #takeOver(heat: number, lane: number, by: 1 | -1): number {
    if (heat < 1 || heat >= this.#night.heats) return 0;
    const x = this.#night.seat(heat - 1, lane);
    const y = this.#night.seat(heat, lane);
    if (x < 0 || y < 0 || x === y) return 0;
    return this.weights.carryOver * this.#count(this.#tookOver, x * this.#night.drivers + y, by);
  }

  /** Counts one up or down; answers the change of the square. */
  #count(counts: Int16Array, key: number, by: 1 | -1): number {
    const before = counts[key] as number;
    counts[key] = before + by;
    return 2 * by * before + 1;
  }

  #changedSeats(heat: number, bits: number, by: 1 | -1): number {
    const i = heat - this.#ran;
    if (i < 0 || this.weights.changedSeat === 0) return 0;
    let changed = 0;
    for (let lane = 0; lane < this.#night.lanes; lane += 1) {
      const announced = this.#announced[i * this.#night.lanes + lane] as number;
      if (((bits >> lane) & 1) === 1 && announced >= 0 && announced !== this.#night.seat(heat, lane)) changed += 1;
    }
    return by * this.weights.changedSeat * changed;
  }

  #countAll(): number {
    const { drivers, heats, lanes } = this.#night;
    let cost = 0;
    for (let h = 0; h < heats; h += 1) {
      for (let i = 0; i < drivers; i += 1) {
        if (this.#night.laneOf(i, h) < 0) continue;
        for (let j = i + 1; j < drivers; j += 1) {
          if (this.#night.laneOf(j, h) < 0) continue;
          cost += this.#step(i * drivers + j, 0, this.weights.pairs);
          this.#meet(i, j, 1);
        }
      }
      cost += this.#sideBySide(h, -1, 1) + this.#changedSeats(h, -1, 1);
      for (let lane = 0; lane < lanes; lane += 1) cost += this.#takeOver(h, lane, 1);
    }
    for (let d = 0; d < drivers; d += 1) cost += this.#rest(d, -1, -1);
    return cost;
  }
}

/**
 * Meetings that two drivers' runs of the whole night let expect: in proportion to the product of their runs, and as
 * many in all as there are. Twice that, times the weight.
 */
function expectedMeetings(night: NightHeats, weight: number): Int32Array {
  const n = night.drivers;
  const expected = new Int32Array(n * n);
  const runs = Array.from({ length: n }, (_, d) => {
    let count = 0;
    for (let h = 0; h < night.heats; h += 1) if (night.laneOf(d, h) >= 0) count += 1;
    return count;
  });
  const meetings = night.sizes.reduce((sum, size) => sum + (size * (size - 1)) / 2, 0);
  const all = runs.reduce((sum, r) => sum + r, 0);
  const products = (all * all - runs.reduce((sum, r) => sum + r * r, 0)) / 2;
  for (let i = 0; i < n; i += 1) {
    for (let j = 0; j < n; j += 1) {
      if (i === j || products === 0) continue;
      expected[i * n + j] = Math.round((2 * weight * meetings * (runs[i] as number) * (runs[j] as number)) / products);
    }
  }
  return expected;
}
