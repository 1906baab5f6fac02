import type { Random } from '../../shared/random.ts';
import { below, exponentialNumber, type Meter, type Stage } from './annealing.ts';
import { copySets, type HeatSets, type Shape } from './shape.ts';
import { waitsOf } from './waits.ts';
import type { Weights } from './weights.ts';

export interface SetAnnealing extends Stage {
  /** The best heats so far. */
  readonly best: HeatSets;
  /** Their pairs and waits, in the unit of the weights. */
  readonly bestCost: number;
}

export interface Cooled {
  /** Temperature by nominal work done. */
  readonly temperature: (spentNs: number) => number;
  /** Where the annealing ends. */
  readonly untilNs: number;
  /** Nothing better is sought. */
  readonly goal: number;
}

/**
 * Anneals who is in which heat. Lanes are left open, as any heats can be given lanes. One move: a driver of one heat and
 * one of another change places, neither being in both heats; so runs and sizes of heats stay.
 *
 * The meetings m change only between the two drivers a, b and those who are in just one of the two heats. With X = in the
 * first heat only, Y = in the second only: half the change of the sum of squares is
 *   sum over x in X without a of (m_bx - m_ax + 1) + sum over y in Y without b of (m_ay - m_by + 1).
 *
 * @param weights pairs, and back-to-back, sit-out and mid-night; where the latter are 0 the order of heats plays no part
 */
export function annealSets(
  start: HeatSets,
  shape: Shape,
  weights: Weights,
  cooled: Cooled,
  meter: Meter,
  random: Random,
): SetAnnealing {
  const { drivers, width, heats } = shape;
  const { members, sizes } = copySets(start);
  const present = new Uint8Array(heats * drivers);
  const met = new Int32Array(drivers * drivers);
  for (let h = 0; h < heats; h++) {
    for (let i = 0; i < (sizes[h] as number); i++) {
      const a = members[h * width + i] as number;
      present[h * drivers + a] = 1;
      for (let j = 0; j < i; j++) {
        const b = members[h * width + j] as number;
        (met[a * drivers + b] as number)++;
        (met[b * drivers + a] as number)++;
      }
    }
  }
  const timed = weights.backToBack + weights.sitOut + weights.midNight > 0;
  const waits = waitsOf(start, shape, weights);
  let squares = 0;
  for (const m of met) squares += m * m;
  let cost = (weights.pairs * squares) / 2 + (timed ? waits.total : 0);

  const onlyFirst = new Int16Array(width);
  const onlySecond = new Int16Array(width);
  const onlyIn = (h: number, other: number, found: Int16Array): number => {
    let count = 0;
    for (let i = h * width, end = i + (sizes[h] as number); i < end; i++) {
      if (present[other * drivers + (members[i] as number)] === 0) found[count++] = i;
    }
    return count;
  };
  const meet = (a: number, b: number, by: number) => {
    met[a * drivers + b] = (met[a * drivers + b] as number) + by;
    met[b * drivers + a] = (met[b * drivers + a] as number) + by;
  };

  const pairWork = 80 + 16 * width;
  const timeWork = timed ? 60 + 16 * Math.ceil(shape.seats / Math.max(1, drivers)) : 0;
  const stage = { best: copySets(start), bestCost: cost, done: heats < 2 || cost <= cooled.goal, run };
  return stage;

  function run(untilNs: number): void {
    while (!stage.done && meter.spentNs < untilNs) {
      const temperature = cooled.temperature(meter.spentNs);
      const batch = 64;
      for (let move = 0; move < batch; move++) tryMove(temperature);
      if (meter.spentNs >= cooled.untilNs || stage.bestCost <= cooled.goal) stage.done = true;
    }
  }

  function tryMove(temperature: number): void {
    const h1 = below(heats, random);
    const h2 = below(heats, random);
    meter.spentNs += pairWork;
    if (h1 === h2) return;
    const count1 = onlyIn(h1, h2, onlyFirst);
    const count2 = onlyIn(h2, h1, onlySecond);
    if (count1 === 0 || count2 === 0) return;
    const seatA = onlyFirst[below(count1, random)] as number;
    const seatB = onlySecond[below(count2, random)] as number;
    const a = members[seatA] as number;
    const b = members[seatB] as number;
    const rowA = a * drivers;
    const rowB = b * drivers;
    let half = count1 + count2 - 2;
    for (let i = 0; i < count1; i++) {
      const x = members[onlyFirst[i] as number] as number;
      if (x !== a) half += (met[rowB + x] as number) - (met[rowA + x] as number);
    }
    for (let i = 0; i < count2; i++) {
      const y = members[onlySecond[i] as number] as number;
      if (y !== b) half += (met[rowA + y] as number) - (met[rowB + y] as number);
    }
    let delta = 2 * weights.pairs * half;
    const limit = temperature * exponentialNumber(random);
    let costA = 0;
    let costB = 0;
    if (timed) {
      meter.spentNs += timeWork;
      costA = waits.moved(a, h1, h2);
      costB = waits.moved(b, h2, h1);
      delta += costA + costB - (waits.cost[a] as number) - (waits.cost[b] as number);
    }
    if (delta > limit) return;

    for (let i = 0; i < count1; i++) {
      const x = members[onlyFirst[i] as number] as number;
      if (x === a) continue;
      meet(a, x, -1);
      meet(b, x, 1);
    }
    for (let i = 0; i < count2; i++) {
      const y = members[onlySecond[i] as number] as number;
      if (y === b) continue;
      meet(b, y, -1);
      meet(a, y, 1);
    }
    members[seatA] = b;
    members[seatB] = a;
    present[h1 * drivers + a] = 0;
    present[h2 * drivers + b] = 0;
    present[h1 * drivers + b] = 1;
    present[h2 * drivers + a] = 1;
    if (timed) {
      waits.move(a, h1, h2, costA);
      waits.move(b, h2, h1, costB);
    }
    cost += delta;
    meter.spentNs += pairWork;
    if (cost < stage.bestCost) {
      stage.bestCost = cost;
      stage.best.members.set(members);
    }
  }
}
