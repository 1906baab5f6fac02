import type { Random } from '../../shared/random.ts';
import { below, exponentialNumber, type Meter, type Stage } from './annealing.ts';
import { type Lanes, seatsOf } from './lanes.ts';
import type { Cooled } from './set-annealing.ts';
import type { HeatSets, Shape } from './shape.ts';
import type { Seats } from './task.ts';
import { waitsOf } from './waits.ts';
import type { Weights } from './weights.ts';

export interface SeatAnnealing extends Stage {
  readonly best: Seats;
  /** Cost of waits, neighbours and take-overs. */
  readonly bestCost: number;
}

/**
 * Anneals the lanes of given heats: who is beside whom, and who takes over whose lane. Two moves:
 *
 * - A lane chain: two lanes change places in a heat, then in every heat that must follow so that all keep their runs on
 *   each lane. These heats form one path or cycle of the edge colouring (A. Kempe 1879), see {@link Lanes}. Who meets
 *   whom, and when, stays.
 * - Two heats change places. Waits and take-overs change. For two lanes this is the main move, as there chains have next
 *   to nothing to choose from.
 */
export function annealSeats(
  sets: HeatSets,
  lanes: Lanes,
  shape: Shape,
  weights: Weights,
  cooled: Cooled,
  meter: Meter,
  random: Random,
): SeatAnnealing {
  const { drivers, width, heats, beside } = shape;
  const copyAt = lanes.copyAt.slice();
  const heatAt = lanes.heatAt.slice();
  // The driver on each lane, beside copyAt: looked at most of all.
  const seats = seatsOf(lanes);
  const waits = waitsOf(sets, shape, weights);
  const sideBySide = new Int32Array(drivers * drivers);
  const tookOver = new Int32Array(drivers * drivers);

  // Cells counted since the last decision, so that a refused move can be taken back: cell + 1, negative if it went down.
  const journal = new Int32Array(16 * (heats + width));
  let entries = 0;
  const carryCells = drivers * drivers;

  const inChain = new Uint8Array(heats);
  const chain = new Int16Array(heats);
  const movers = new Int16Array(2 * width);
  const newCost = new Float64Array(2 * width);

  let delta = 0;
  for (let h = 0; h < heats; h++) {
    for (let l = 0; l < width; l++) {
      countBeside(h, l, 1);
      countTakeOver(h, l, 1);
    }
  }
  entries = 0;
  let cost = waits.total + delta;

  // Chains of two lanes only: with so few, swapping heats is nearly all that is left to try.
  const swapShare = width === 2 ? 0xe0000000 : 0x20000000;
  const stage = {
    best: seats.slice(),
    bestCost: cost,
    done: cost <= cooled.goal,
    run,
  };
  return stage;

  function run(untilNs: number): void {
    while (!stage.done && meter.spentNs < untilNs) {
      const temperature = cooled.temperature(meter.spentNs);
      for (let move = 0; move < 8; move++) {
        const limit = temperature * exponentialNumber(random);
        if (random.uint32() < swapShare) trySwap(limit);
        else tryChain(limit);
        if (cost < stage.bestCost) {
          stage.bestCost = cost;
          stage.best.set(seats);
          meter.spentNs += 100;
        }
      }
      if (meter.spentNs >= cooled.untilNs || stage.bestCost <= cooled.goal) stage.done = true;
    }
  }

  /** Counts the pair on lanes l and l + 1 once more or less. */
  function countBeside(h: number, l: number, by: 1 | -1): void {
    if (l < 0 || beside[l] !== 1) return;
    const a = seats[h * width + l] as number;
    const b = seats[h * width + l + 1] as number;
    if (a === -1 || b === -1) return;
    const cell = a < b ? a * drivers + b : b * drivers + a;
    const before = sideBySide[cell] as number;
    sideBySide[cell] = before + by;
    delta += weights.neighbours * (2 * by * before + 1);
    journal[entries++] = by * (cell + 1);
  }

  /** Counts who takes over lane l after heat h once more or less. */
  function countTakeOver(h: number, l: number, by: 1 | -1): void {
    if (h < 0 || h + 1 >= heats) return;
    const a = seats[h * width + l] as number;
    const b = seats[(h + 1) * width + l] as number;
    if (a === -1 || b === -1 || a === b) return;
    const cell = a * drivers + b;
    const before = tookOver[cell] as number;
    tookOver[cell] = before + by;
    delta += weights.carryOver * (2 * by * before + 1);
    journal[entries++] = by * (carryCells + cell + 1);
  }

  function takeBackCounts(): void {
    for (let i = 0; i < entries; i++) {
      const entry = journal[i] as number;
      const by = entry > 0 ? 1 : -1;
      const cell = by * entry - 1;
      if (cell < carryCells) sideBySide[cell] = (sideBySide[cell] as number) - by;
      else tookOver[cell - carryCells] = (tookOver[cell - carryCells] as number) - by;
    }
  }

  function tryChain(limit: number): void {
    const a = below(width, random);
    const b = below(width, random);
    if (a === b) return;
    const length = findChain(below(heats, random), a, b);
    delta = 0;
    entries = 0;
    countChain(length, a, b, -1);
    swapLanes(length, a, b);
    countChain(length, a, b, 1);
    meter.spentNs += 150 + 180 * length;
    if (delta <= limit) {
      cost += delta;
    } else {
      swapLanes(length, a, b);
      takeBackCounts();
    }
    for (let i = 0; i < length; i++) inChain[chain[i] as number] = 0;
  }

  /** The heats in which lanes a and b must change places together, from heat `start` on. Returns how many. */
  function findChain(start: number, a: number, b: number): number {
    chain[0] = start;
    inChain[start] = 1;
    const forth = follow(start, a, b, 1);
    return forth < 0 ? -forth : follow(start, b, a, forth);
  }

  /**
   * Whoever leaves one lane for another meets, in the heat where they had the other, somebody who must leave it in turn.
   * Returns the length of the chain, negative if it closed.
   */
  function follow(start: number, from: number, to: number, length: number): number {
    let heat = start;
    for (;;) {
      const copy = copyAt[heat * width + from] as number;
      if (copy === -1) return length;
      heat = heatAt[copy * width + to] as number;
      if (heat === -1) return length;
      if (heat === start) return -length;
      chain[length++] = heat;
      inChain[heat] = 1;
    }
  }

  function countChain(length: number, a: number, b: number, by: 1 | -1): void {
    for (let i = 0; i < length; i++) {
      const h = chain[i] as number;
      countBeside(h, a - 1, by);
      countBeside(h, a, by);
      if (b - 1 !== a) countBeside(h, b - 1, by);
      if (b !== a - 1) countBeside(h, b, by);
      countTakeOver(h - 1, a, by);
      countTakeOver(h - 1, b, by);
      if (h + 1 < heats && inChain[h + 1] === 1) continue;
      countTakeOver(h, a, by);
      countTakeOver(h, b, by);
    }
  }

  function swapLanes(length: number, a: number, b: number): void {
    for (let i = 0; i < length; i++) {
      const row = (chain[i] as number) * width;
      const onA = copyAt[row + a] as number;
      const onB = copyAt[row + b] as number;
      if (onA !== -1) heatAt[onA * width + a] = -1;
      if (onB !== -1) heatAt[onB * width + b] = -1;
    }
    for (let i = 0; i < length; i++) {
      const h = chain[i] as number;
      const row = h * width;
      const onA = copyAt[row + a] as number;
      const onB = copyAt[row + b] as number;
      copyAt[row + a] = onB;
      copyAt[row + b] = onA;
      swap(row + a, row + b);
      if (onA !== -1) heatAt[onA * width + b] = h;
      if (onB !== -1) heatAt[onB * width + a] = h;
    }
  }

  function swap(i: number, j: number): void {
    const kept = seats[i] as number;
    seats[i] = seats[j] as number;
    seats[j] = kept;
  }

  function trySwap(limit: number): void {
    const p = below(heats, random);
    const q = below(heats, random);
    if (p === q) return;
    const leaving = price(p, q, 0);
    const all = price(q, p, leaving);
    delta = 0;
    for (let i = 0; i < all; i++) delta += (newCost[i] as number) - (waits.cost[movers[i] as number] as number);
    meter.spentNs += 200 + 100 * width + 100 * all;
    if (delta > limit + 8 * weights.carryOver * width) return;
    entries = 0;
    countTakeOvers(p, q, -1);
    swapRows(p, q);
    countTakeOvers(p, q, 1);
    meter.spentNs += 150 * width;
    if (delta > limit) {
      swapRows(p, q);
      takeBackCounts();
      return;
    }
    for (let i = 0; i < all; i++) {
      const forward = i < leaving;
      waits.move(movers[i] as number, forward ? p : q, forward ? q : p, newCost[i] as number);
    }
    cost += delta;
  }

  /** Those in heat `from` but not in heat `to`, with their cost when they change over. */
  function price(from: number, to: number, count: number): number {
    for (let l = 0; l < width; l++) {
      const d = seats[from * width + l] as number;
      if (d === -1 || runsIn(to, d)) continue;
      movers[count] = d;
      newCost[count++] = waits.moved(d, from, to);
    }
    return count;
  }

  function runsIn(h: number, d: number): boolean {
    for (let l = 0; l < width; l++) if (seats[h * width + l] === d) return true;
    return false;
  }

  function countTakeOvers(p: number, q: number, by: 1 | -1): void {
    for (let l = 0; l < width; l++) {
      countTakeOver(p - 1, l, by);
      countTakeOver(p, l, by);
      if (q - 1 !== p) countTakeOver(q - 1, l, by);
      if (q !== p - 1) countTakeOver(q, l, by);
    }
  }

  function swapRows(p: number, q: number): void {
    for (let l = 0; l < width; l++) {
      const atP = copyAt[p * width + l] as number;
      const atQ = copyAt[q * width + l] as number;
      copyAt[p * width + l] = atQ;
      copyAt[q * width + l] = atP;
      swap(p * width + l, q * width + l);
      if (atP !== -1) heatAt[atP * width + l] = q;
      if (atQ !== -1) heatAt[atQ * width + l] = p;
    }
  }
}
