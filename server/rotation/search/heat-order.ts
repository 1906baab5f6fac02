import type { Random } from '../../shared/random.ts';
import type { Meter, Stage } from './annealing.ts';
import { below, exponentialNumber } from './annealing.ts';
import type { Cooled } from './set-annealing.ts';
import { copySets, type HeatSets, type Shape } from './shape.ts';
import { waitsOf } from './waits.ts';
import type { Weights } from './weights.ts';

export interface OrderAnnealing extends Stage {
  readonly best: HeatSets;
  /** Cost of its waits. */
  readonly bestCost: number;
}

/**
 * Anneals the order of given heats: two heats change places. Only drivers who are in one of the two notice, so a move is
 * priced by their runs alone.
 */
export function annealOrder(
  start: HeatSets,
  shape: Shape,
  weights: Weights,
  cooled: Cooled,
  meter: Meter,
  random: Random,
): OrderAnnealing {
  const { drivers, width, heats } = shape;
  const { members, sizes } = copySets(start);
  const present = new Uint8Array(heats * drivers);
  for (let h = 0; h < heats; h++) {
    for (let i = 0; i < (sizes[h] as number); i++) present[h * drivers + (members[h * width + i] as number)] = 1;
  }
  const waits = waitsOf(start, shape, weights);
  // heatAt[i] is the row of the heat that is run as number i.
  const heatAt = Int16Array.from({ length: heats }, (_, h) => h);
  const movers = new Int16Array(2 * width);
  const newCost = new Float64Array(2 * width);
  const runWork = 10 * Math.ceil(shape.seats / drivers);

  const stage = { best: copySets(start), bestCost: waits.total, done: heats < 3 || waits.total <= cooled.goal, run };
  return stage;

  function run(untilNs: number): void {
    let improved = false;
    while (!stage.done && meter.spentNs < untilNs) {
      const temperature = cooled.temperature(meter.spentNs);
      for (let move = 0; move < 16; move++) {
        tryMove(temperature);
        if (waits.total < stage.bestCost) {
          stage.bestCost = waits.total;
          keepBest();
          improved = true;
        }
      }
      if (meter.spentNs >= cooled.untilNs || stage.bestCost <= cooled.goal) stage.done = true;
    }
    if (improved) meter.spentNs += shape.seats;
  }

  function keepBest(): void {
    for (let i = 0; i < heats; i++) {
      const from = (heatAt[i] as number) * width;
      stage.best.sizes[i] = sizes[heatAt[i] as number] as number;
      for (let j = 0; j < width; j++) stage.best.members[i * width + j] = members[from + j] as number;
    }
    meter.spentNs += shape.seats;
  }

  /** Those in heat `row` but not in `other`, with their cost when they run at `to` instead of `from`. */
  function price(row: number, other: number, from: number, to: number, count: number): number {
    for (let i = row * width, end = i + (sizes[row] as number); i < end; i++) {
      const d = members[i] as number;
      if (present[other * drivers + d] === 1) continue;
      movers[count] = d;
      newCost[count++] = waits.moved(d, from, to);
    }
    return count;
  }

  function tryMove(temperature: number): void {
    const p = below(heats, random);
    const q = below(heats, random);
    if (p === q) return;
    const first = heatAt[p] as number;
    const second = heatAt[q] as number;
    const leaving = price(first, second, p, q, 0);
    const all = price(second, first, q, p, leaving);
    let delta = 0;
    for (let i = 0; i < all; i++) delta += (newCost[i] as number) - (waits.cost[movers[i] as number] as number);
    meter.spentNs += 150 + all * runWork;
    if (delta > temperature * exponentialNumber(random)) return;
    for (let i = 0; i < all; i++) {
      const forward = i < leaving;
      waits.move(movers[i] as number, forward ? p : q, forward ? q : p, newCost[i] as number);
    }
    heatAt[p] = second;
    heatAt[q] = first;
  }
}
