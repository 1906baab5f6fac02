import type { Random } from '../../shared/random.ts';
import { below, shuffle } from './annealing.ts';
import type { HeatSets, Shape } from './shape.ts';
import type { Seats } from './task.ts';

/**
 * Lanes as a proper edge colouring. The graph has heats on one side and drivers on the other; a driver with more runs
 * than there are lanes is split into several vertices ("copies") of at most that many runs. A run is an edge, its lane the
 * colour. Every full copy has each lane once and the last one no lane twice, so a driver's lane counts differ by at most
 * one (D. de Werra, "Equitable colorations of graphs", 1971; the split is the usual proof for bipartite graphs).
 */
export interface Lanes {
  /** copyAt[heat * width + lane]: copy or -1. */
  readonly copyAt: Int16Array;
  /** heatAt[copy * width + lane]: heat or -1. */
  readonly heatAt: Int16Array;
  readonly driverOf: Int16Array;
}

/**
 * Lanes for any heats, always found: D. König (1916) colours a bipartite graph with as many colours as its largest
 * degree, edge by edge. Where an edge has no lane free at both ends, two lanes change places along the path that
 * begins at its driver. Runs come in random order, so that the colouring has no pattern.
 */
export function colourLanes(sets: HeatSets, shape: Shape, random: Random): Lanes {
  const { width, heats, drivers, runs } = shape;
  const firstCopy = new Int32Array(drivers + 1);
  for (let d = 0; d < drivers; d++) {
    firstCopy[d + 1] = (firstCopy[d] as number) + Math.ceil((runs[d] as number) / width);
  }
  const copies = firstCopy[drivers] as number;
  const driverOf = new Int16Array(copies);
  for (let d = 0; d < drivers; d++) driverOf.fill(d, firstCopy[d], firstCopy[d + 1]);

  const seatsLeft = new Int32Array(shape.seats);
  for (let h = 0, e = 0; h < heats; h++) {
    for (let i = 0; i < (sets.sizes[h] as number); i++) seatsLeft[e++] = h * width + i;
  }
  shuffle(seatsLeft, random);

  const copyAt = new Int16Array(heats * width).fill(-1);
  const heatAt = new Int16Array(copies * width).fill(-1);
  const taken = new Int32Array(drivers);
  for (const seat of seatsLeft) {
    const heat = Math.floor(seat / width);
    const driver = sets.members[seat] as number;
    const copy = (firstCopy[driver] as number) + Math.floor((taken[driver] as number) / width);
    (taken[driver] as number)++;
    const lane = freeLane(copyAt, heat, heatAt, copy, width, below(width, random));
    copyAt[heat * width + lane] = copy;
    heatAt[copy * width + lane] = heat;
  }
  return { copyAt, heatAt, driverOf };
}

/** A lane free at both ends of a new edge, made so where there is none. */
function freeLane(
  copyAt: Int16Array,
  heat: number,
  heatAt: Int16Array,
  copy: number,
  width: number,
  from: number,
): number {
  let freeAtHeat = -1;
  let freeAtCopy = -1;
  for (let i = 0; i < width; i++) {
    const lane = from + i < width ? from + i : from + i - width;
    const heatFree = copyAt[heat * width + lane] === -1;
    const copyFree = heatAt[copy * width + lane] === -1;
    if (heatFree && copyFree) return lane;
    if (heatFree) freeAtHeat = lane;
    if (copyFree) freeAtCopy = lane;
  }
  swapPath(copyAt, heatAt, width, copy, freeAtHeat, freeAtCopy);
  return freeAtHeat;
}

/**
 * Swaps the lanes `a` and `b` along the path that begins at `start` with its run on lane a; `start` has no run on lane b.
 * The path enters heats on lane a only, so it never reaches a heat where lane a is free.
 */
function swapPath(copyAt: Int16Array, heatAt: Int16Array, width: number, start: number, a: number, b: number): void {
  let copy = start;
  let heat = heatAt[copy * width + a] as number;
  heatAt[copy * width + a] = -1;
  while (heat !== -1) {
    const next = copyAt[heat * width + b] as number;
    copyAt[heat * width + b] = copy;
    heatAt[copy * width + b] = heat;
    copyAt[heat * width + a] = next;
    if (next === -1) return;
    const nextHeat = heatAt[next * width + a] as number;
    heatAt[next * width + a] = heat;
    if (nextHeat === -1) heatAt[next * width + b] = -1;
    copy = next;
    heat = nextHeat;
  }
}

export function seatsOf(lanes: Lanes): Seats {
  return lanes.copyAt.map((copy) => (copy === -1 ? -1 : (lanes.driverOf[copy] as number)));
}
