import { longSitOut } from './score.ts';
import type { HeatSets, Shape } from './shape.ts';
import type { Weights } from './weights.ts';

/** What sit-outs of 0, 1, 2 … heats cost. */
interface Prices {
  /** Before the first and after the last run. */
  readonly atEnds: Float64Array;
  /** Between two runs: a sit-out of no heats is a back-to-back. */
  readonly between: Float64Array;
}

function pricesOf(shape: Shape, weights: Weights): Prices {
  const allowed = longSitOut(shape);
  const atEnds = new Float64Array(shape.heats + 1);
  for (let gap = 0; gap <= shape.heats; gap++) atEnds[gap] = weights.sitOut * Math.max(0, gap - allowed) ** 2;
  const between = atEnds.slice();
  between[0] = (between[0] as number) + weights.backToBack;
  return { atEnds, between };
}

/**
 * When everybody runs, and what that costs: back-to-backs, long sit-outs and the distance from mid-night. The cost of a
 * driver depends on nobody else, so one run moved to another heat is priced by one pass over that driver's runs.
 */
export interface Waits {
  /** Cost of all drivers. */
  total: number;
  /** Cost of driver d as things stand. */
  readonly cost: Float64Array;
  /** Cost of driver d if the run in heat `from` were in heat `to` instead. */
  moved(d: number, from: number, to: number): number;
  /** Moves that run; `cost` is what `moved` said. */
  move(d: number, from: number, to: number, cost: number): void;
}

export function waitsOf(sets: HeatSets, shape: Shape, weights: Weights): Waits {
  const { drivers, heats, width, runs } = shape;
  const { atEnds, between } = pricesOf(shape, weights);
  const first = new Int32Array(drivers + 1);
  for (let d = 0; d < drivers; d++) first[d + 1] = (first[d] as number) + (runs[d] as number);

  // Heats of each driver, rising.
  const times = new Int16Array(shape.seats);
  const filled = first.slice();
  for (let h = 0; h < heats; h++) {
    for (let i = 0; i < (sets.sizes[h] as number); i++) {
      const d = sets.members[h * width + i] as number;
      const at = filled[d] as number;
      times[at] = h;
      filled[d] = at + 1;
    }
  }

  const costWith = (d: number, from: number, to: number): number => {
    const end = first[d + 1] as number;
    let i = first[d] as number;
    let waiting = to !== -1;
    let gaps = atEnds;
    let previous = -1;
    let cost = 0;
    let sum = 0;
    for (;;) {
      let t: number;
      if (i < end && times[i] === from) {
        i++;
        continue;
      }
      if (waiting && (i === end || (times[i] as number) > to)) {
        t = to;
        waiting = false;
      } else if (i < end) {
        t = times[i++] as number;
      } else break;
      cost += gaps[t - previous - 1] as number;
      gaps = between;
      previous = t;
      sum += t + 1;
    }
    cost += atEnds[heats - previous - 1] as number;
    return cost + weights.midNight * Math.abs(2 * sum - (runs[d] as number) * (heats + 1));
  };

  const cost = Float64Array.from({ length: drivers }, (_, d) => costWith(d, -1, -1));
  const waits: Waits = {
    total: cost.reduce((sum, c) => sum + c, 0),
    cost,
    moved: costWith,
    move(d, from, to, newCost) {
      const start = first[d] as number;
      const end = first[d + 1] as number;
      let i = start;
      while (times[i] !== from) i++;
      if (to > from) {
        for (; i + 1 < end && (times[i + 1] as number) < to; i++) times[i] = times[i + 1] as number;
      } else {
        for (; i > start && (times[i - 1] as number) > to; i--) times[i] = times[i - 1] as number;
      }
      times[i] = to;
      waits.total += newCost - (cost[d] as number);
      cost[d] = newCost;
    },
  };
  return waits;
}

/** Prices many orders of heats one after the other: the same figure as `waitsOf(...).total`, in one pass. */
export function waitsPricer(shape: Shape, weights: Weights): (sets: HeatSets) => number {
  const { drivers, heats, width, runs } = shape;
  const { atEnds, between } = pricesOf(shape, weights);
  const last = new Int32Array(drivers);
  const sum = new Int32Array(drivers);
  return ({ members, sizes }) => {
    last.fill(-1);
    sum.fill(0);
    let cost = 0;
    for (let h = 0; h < heats; h++) {
      for (let i = h * width, end = i + (sizes[h] as number); i < end; i++) {
        const d = members[i] as number;
        const previous = last[d] as number;
        cost += (previous === -1 ? atEnds : between)[h - previous - 1] as number;
        last[d] = h;
        sum[d] = (sum[d] as number) + h + 1;
      }
    }
    for (let d = 0; d < drivers; d++) {
      cost += atEnds[heats - (last[d] as number) - 1] as number;
      cost += weights.midNight * Math.abs(2 * (sum[d] as number) - (runs[d] as number) * (heats + 1));
    }
    return cost;
  };
}
