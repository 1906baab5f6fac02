import { type DutyTable, easeBeforeRuns, easeStreaks } from './marshal-ease.ts';
import type { DrawRequest, Driver, Seat } from './rotation.ts';

/** Who marshals which heat, and how many marshals each heat is short of. */
export interface MarshalPlan {
  readonly marshals: Driver[][];
  readonly shortage: number[];
}

/**
 * Gives every heat its marshals from those who sit out: as many as wanted, or all who can. In this order
 *
 * 1. duties are spread as evenly as these heats allow. When each driver has as many runs as the next and heats are
 *    equally large, counts differ by at most one;
 * 2. as few duties as possible come in the heat straight before one's own run;
 * 3. duties in one heat after another are avoided where a few exchanges can do it.
 *
 * First everybody with the fewest duties is taken, preferring those who neither run next nor marshalled last. Then
 * duties move along chains "a hands heat g to b, b hands heat h to c, …" from a driver to one with at least two fewer,
 * until no chain is left; at that point the spread is the smallest possible (N. Harvey, R. Ladner, L. Lovász,
 * T. Tamir: Semi-matchings for bipartite graphs and load balancing, J. Algorithms 59 (2006): no cost-reducing path
 * means optimal). Last, duties go round rings of drivers, see {@link easeBeforeRuns}.
 *
 * @param request `drivers`, `marshals` (wanted a heat) and `exempt` are read
 * @param heats seats of each heat, in the order in which they are run
 * @param before duties done before these heats, which count as well; give who comes late what others have done on
 *   average, or they stand marshal until they have caught up
 */
export function assignMarshals(
  request: Pick<DrawRequest, 'drivers' | 'marshals' | 'exempt'>,
  heats: readonly (readonly Seat[])[],
  before: ReadonlyMap<Driver, number> = new Map(),
): MarshalPlan {
  const exempt = new Set(request.exempt);
  const able = request.drivers.filter((driver) => !exempt.has(driver));
  const table = emptyTable(able, heats, before);
  const taken = heats.map((_, h) => firstDuties(table, h, request.marshals));
  while (evenOut(table));
  easeBeforeRuns(table);
  easeStreaks(table);
  return {
    marshals: heats.map((_, h) => able.filter((_, d) => table.on[h * able.length + d] === 1)),
    shortage: taken.map((marshals) => request.marshals - marshals),
  };
}

function emptyTable(
  able: readonly Driver[],
  heats: readonly (readonly Seat[])[],
  before: ReadonlyMap<Driver, number>,
): DutyTable {
  const n = able.length;
  const free = new Uint8Array(heats.length * n);
  const strain = new Uint8Array(heats.length * n);
  for (const [h, seats] of heats.entries()) {
    const driving = new Set(seats);
    const next = new Set(heats[h + 1] ?? []);
    for (const [d, driver] of able.entries()) {
      free[h * n + d] = driving.has(driver) ? 0 : 1;
      strain[h * n + d] = next.has(driver) ? 1 : 0;
    }
  }
  const duties = Int32Array.from(able, (driver) => before.get(driver) ?? 0);
  return { drivers: n, heats: heats.length, on: new Uint8Array(heats.length * n), free, strain, duties };
}

/** Marshals of one heat, those of the heats before given; answers how many there are. */
function firstDuties({ drivers: n, on, free, strain, duties }: DutyTable, h: number, wanted: number): number {
  const tired = (d: number) => 2 * (strain[h * n + d] as number) + (h > 0 ? (on[(h - 1) * n + d] as number) : 0);
  const sitting = Array.from({ length: n }, (_, d) => d).filter((d) => free[h * n + d] === 1);
  sitting.sort((a, b) => (duties[a] as number) - (duties[b] as number) || tired(a) - tired(b));
  const taken = sitting.slice(0, wanted);
  for (const d of taken) {
    on[h * n + d] = 1;
    duties[d] = (duties[d] as number) + 1;
  }
  return taken.length;
}

/** Moves one duty along one chain that makes the counts more even; false when there is none. */
function evenOut(table: DutyTable): boolean {
  const { drivers: n, on, duties } = table;
  const busiestFirst = [...duties.keys()].sort((a, b) => (duties[b] as number) - (duties[a] as number));
  const least = duties[busiestFirst.at(-1) ?? 0] ?? 0;
  for (const from of busiestFirst) {
    const most = duties[from] as number;
    if (most - least < 2) return false;
    const chain = findChain(table, from, most - 2);
    if (!chain) continue;
    for (const { giver, heat, taker } of chain) {
      on[heat * n + giver] = 0;
      on[heat * n + taker] = 1;
    }
    const last = (chain.at(-1) as Handover).taker;
    duties[from] = most - 1;
    duties[last] = (duties[last] as number) + 1;
    return true;
  }
  return false;
}

interface Handover {
  giver: number;
  heat: number;
  taker: number;
}

/** Breadth-first search for the shortest chain from a driver to one with at most `enough` duties. */
function findChain({ drivers: n, heats, on, free, duties }: DutyTable, from: number, enough: number) {
  const reachedBy = new Map<number, Handover | null>([[from, null]]);
  const heatsSeen = new Uint8Array(heats);
  const queue = [from];
  for (const giver of queue) {
    for (let heat = 0; heat < heats; heat += 1) {
      if (heatsSeen[heat] === 1 || on[heat * n + giver] === 0) continue;
      heatsSeen[heat] = 1;
      for (let taker = 0; taker < n; taker += 1) {
        if (free[heat * n + taker] === 0 || on[heat * n + taker] === 1 || reachedBy.has(taker)) continue;
        reachedBy.set(taker, { giver, heat, taker });
        if ((duties[taker] as number) <= enough) return traceBack(taker, reachedBy);
        queue.push(taker);
      }
    }
  }
  return null;
}

function traceBack(end: number, reachedBy: ReadonlyMap<number, Handover | null>): Handover[] {
  const chain: Handover[] = [];
  for (let step = reachedBy.get(end); step; step = reachedBy.get(step.giver)) chain.unshift(step);
  return chain;
}
