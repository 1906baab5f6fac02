import type { Random } from '../../shared/random.ts';
import { below, exponentialNumber, type Meter, type Stage, shuffle } from './annealing.ts';
import { copySets, type HeatSets, type Shape } from './shape.ts';
import { develop, type Symmetry, unitSteps } from './symmetry.ts';
import { waitsPricer } from './waits.ts';
import type { Weights } from './weights.ts';

/** Most work on the orders of one set of base blocks, so that progress comes often. */
const mostOrderNs = 2_000_000;

export interface BlockSearch extends Stage {
  /** The best heats so far, in the best order found; null until one search ended. */
  readonly best: HeatSets | null;
  /** Cost of their pairs, and of pairs and waits. */
  readonly pairCost: number;
  readonly bestCost: number;
  /** Searches that ended with the best pair cost. */
  readonly hits: number;
}

/**
 * Searches base blocks whose shifts let all pairs meet equally often, by short annealings from random starts, and for
 * each good find the best of its step orders.
 *
 * How often two drivers meet depends only on their rows and the difference d of their places:
 * times(o, p, d) = pairs of members of one block, in rows o and p, that lie d apart. So a whole design is priced by those
 * few counts: sum over pairs of squared meetings = group / 2 x sum of squares of all times(o, p, d).
 * Two heats t and t + d of one block share times(d) drivers, thus the step order 0, d, 2d, … has times(d) back-to-backs at
 * each change: good step orders come with the blocks.
 */
export function searchBlocks(
  symmetry: Symmetry,
  shape: Shape,
  weights: Weights,
  meter: Meter,
  random: Random,
): BlockSearch {
  const { width } = shape;
  const { group, orbits, fixed, blocks, sizes } = symmetry;
  const rows = orbits + fixed;
  const moved = group * orbits;
  const places = new Int16Array(blocks * width);
  const times = new Int32Array(rows * rows * group);
  const unit = (weights.pairs * group) / 2;
  const perChange = blocks === 1 && rows === 1 ? weights.backToBack * (group - 1) : 0;
  const rowOf = Int32Array.from({ length: moved + fixed }, (_, driver) => Math.floor(driver / group));
  const placeOf = Int32Array.from({ length: moved + fixed }, (_, driver) => driver % group);
  const steps = unitSteps(group);
  const price = waitsPricer(shape, weights);
  const trial: HeatSets = { members: new Int16Array(shape.heats * width).fill(-1), sizes: new Int16Array(shape.heats) };
  const turn = { order: Int16Array.from({ length: blocks }, (_, b) => b), ahead: new Int16Array(blocks) };
  const attempts = Math.min(6000, 20 * width * blocks * Math.max(4, Math.ceil(group / 4)));
  const orderWork = 20 * shape.seats;
  const moveWork = 120 + 42 * width;

  const stage = {
    best: null as HeatSets | null,
    pairCost: Infinity,
    bestCost: Infinity,
    hits: 0,
    done: false,
    run(untilNs: number): void {
      while (meter.spentNs < untilNs) searchOnce();
    },
  };
  return stage;

  function searchOnce(): void {
    deal();
    let cost = recount();
    let leastCost = cost;
    const least = places.slice();
    for (let attempt = 0; attempt < attempts; attempt++) {
      const temperature = (unit * 2 * (attempts - attempt)) / attempts;
      const delta = tryMove(temperature * exponentialNumber(random));
      cost += delta;
      if (cost < leastCost) {
        leastCost = cost;
        least.set(places);
      }
    }
    meter.spentNs += moveWork * attempts;
    places.set(least);
    recount();
    takeOrders(pairCostNow());
  }

  /** Deals every row as often as its drivers run, evenly over the blocks, at random places. */
  function deal(): void {
    const labels = new Int16Array(orbits * symmetry.runs + (fixed * symmetry.runs) / group);
    for (let o = 0; o < rows; o++) labels.fill(o, o * symmetry.runs, (o + 1) * symmetry.runs);
    const filled = new Int16Array(blocks);
    // In turn, as larger blocks come first: no block is ever full too early, none gets a row more often than it has places.
    let b = 0;
    for (const o of labels) {
      const at = b * width + (filled[b] as number);
      const from = b * width;
      places[at] = o === orbits ? moved : o * group + below(group, random);
      while (isTaken(places[at] as number, from, at)) places[at] = o * group + below(group, random);
      filled[b] = (filled[b] as number) + 1;
      b = (b + 1) % blocks;
    }
  }

  function isTaken(place: number, from: number, to: number): boolean {
    for (let i = from; i < to; i++) if (places[i] === place) return true;
    return false;
  }

  /** Index of the count that two members of a block belong to; both directions are counted. */
  function kind(p: number, q: number): number {
    const d = p >= moved || q >= moved ? 0 : (placeOf[q] as number) - (placeOf[p] as number);
    return ((rowOf[p] as number) * rows + (rowOf[q] as number)) * group + (d < 0 ? d + group : d);
  }

  function recount(): number {
    times.fill(0);
    for (let b = 0; b < blocks; b++) {
      for (let i = 0; i < (sizes[b] as number); i++) {
        for (let j = 0; j < (sizes[b] as number); j++) {
          if (i === j) continue;
          const k = kind(places[b * width + i] as number, places[b * width + j] as number);
          times[k] = (times[k] as number) + 1;
        }
      }
    }
    return pairCostNow() + perChange * (times[1] as number);
  }

  function pairCostNow(): number {
    let squares = 0;
    for (const t of times) squares += t * t;
    return unit * squares;
  }

  /** Puts `place` at `at` of block b; returns the change of the sum of squares. */
  function put(b: number, at: number, place: number): number {
    const old = places[at] as number;
    let delta = 0;
    for (let j = b * width, end = j + (sizes[b] as number); j < end; j++) {
      if (j === at) continue;
      const other = places[j] as number;
      // Both directions of a pair are counted equally often, so each change of a square comes twice.
      delta += count(old, other, -1) + count(place, other, 1);
    }
    places[at] = place;
    return 2 * delta;
  }

  /** Counts a pair of members once more or less; returns the change of the square of its count. */
  function count(p: number, q: number, by: 1 | -1): number {
    const forth = kind(p, q);
    const back = kind(q, p);
    const before = times[forth] as number;
    times[forth] = before + by;
    times[back] = (times[back] as number) + by;
    return 2 * by * before + 1;
  }

  /** Moves one member within its row, or lets two members of two blocks swap rows. Returns the change of cost, 0 if undone. */
  function tryMove(limit: number): number {
    const b = below(blocks, random);
    const size = sizes[b] as number;
    const at = b * width + below(size, random);
    const old = places[at] as number;
    const changesBefore = times[1] as number;
    const swapsRows = rows > 1 && blocks > 1 && random.uint32() >= 0x80000000;
    if (!swapsRows) {
      if (old >= moved) return 0;
      const row = old - (old % group);
      const place = row + below(group, random);
      if (isTaken(place, b * width, b * width + size)) return 0;
      const delta = unit * put(b, at, place) + perChange * ((times[1] as number) - changesBefore);
      if (delta <= limit) return delta;
      put(b, at, old);
      return 0;
    }
    const c = below(blocks, random);
    const sizeC = sizes[c] as number;
    const atC = c * width + below(sizeC, random);
    const oldC = places[atC] as number;
    if (b === c) return 0;
    const place = oldC >= moved ? moved : oldC - (oldC % group) + below(group, random);
    const placeC = old >= moved ? moved : old - (old % group) + below(group, random);
    if (isTaken(place, b * width, b * width + size) || isTaken(placeC, c * width, c * width + sizeC)) return 0;
    const delta = unit * (put(b, at, place) + put(c, atC, placeC));
    if (delta <= limit) return delta;
    put(b, at, old);
    put(c, atC, oldC);
    return 0;
  }

  /** Prices the step orders of the blocks at hand. */
  function takeOrders(pairCost: number): void {
    if (weights.pairs >= weights.backToBack && pairCost > stage.pairCost) return;
    stage.hits = pairCost === stage.pairCost ? stage.hits + 1 : pairCost < stage.pairCost ? 1 : stage.hits;
    if (pairCost < stage.pairCost) {
      stage.pairCost = pairCost;
      if (weights.pairs >= weights.backToBack) stage.bestCost = Infinity;
    }
    // One block has one order for each step; more blocks can also take turns in many ways.
    const orders = steps.length * (blocks === 1 ? 1 : 24);
    const most = Math.max(1, Math.floor(mostOrderNs / orderWork));
    for (let i = 0; i < Math.min(orders, most); i++) {
      const step = steps[orders <= most ? i % steps.length : below(steps.length, random)] as number;
      if (blocks > 1) {
        shuffle(turn.order, random);
        for (let b = 0; b < blocks; b++) turn.ahead[b] = below(group, random);
      }
      develop(places, symmetry, width, step, turn, trial);
      const cost = pairCost + price(trial);
      meter.spentNs += orderWork;
      if (cost < stage.bestCost) {
        stage.bestCost = cost;
        stage.best = copySets(trial);
      }
    }
  }
}
