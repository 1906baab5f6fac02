import type { DrawRequest, Driver, Seat } from './rotation.ts';

/** Who marshals which heat, and how many marshals each heat is short of. */
export interface MarshalPlan {
  readonly marshals: Driver[][];
  readonly shortage: number[];
}

/**
 * Gives every heat its marshals from those who sit out, duties spread as evenly as these heats allow. When each driver
 * has as many runs as the next and heats are equally large, counts differ by at most one.
 *
 * First everybody with the fewest duties is taken, preferring those who neither run next nor marshalled last. Then
 * duties move along chains "a hands heat g to b, b hands heat h to c, …" from a driver to one with at least two fewer,
 * until no chain is left; at that point the spread is the smallest possible (N. Harvey, R. Ladner, L. Lovász,
 * T. Tamir: Semi-matchings for bipartite graphs and load balancing, J. Algorithms 59 (2006): no cost-reducing path
 * means optimal).
 *
 * @param request `drivers`, `marshals` (wanted a heat) and `exempt` are read
 * @param heats seats of each heat
 */
export function assignMarshals(
  request: Pick<DrawRequest, 'drivers' | 'marshals' | 'exempt'>,
  heats: readonly (readonly Seat[])[],
): MarshalPlan {
  const exempt = new Set(request.exempt);
  const able = request.drivers.filter((driver) => !exempt.has(driver));
  const duty = new Map(able.map((driver) => [driver, 0]));
  const sitters = heats.map((seats) => able.filter((driver) => !seats.includes(driver)));
  const onDuty = firstDuties(sitters, heats, request.marshals, duty);
  while (evenOut(sitters, onDuty, duty));
  return {
    marshals: sitters.map((sitting, h) => sitting.filter((driver) => onDuty[h]?.has(driver))),
    shortage: onDuty.map((taken) => request.marshals - taken.size),
  };
}

function firstDuties(
  sitters: readonly Driver[][],
  heats: readonly (readonly Seat[])[],
  wanted: number,
  duty: Map<Driver, number>,
): Set<Driver>[] {
  const onDuty: Set<Driver>[] = [];
  for (const [h, sitting] of sitters.entries()) {
    const next = heats[h + 1] ?? [];
    const before = onDuty[h - 1];
    const strain = (driver: Driver) => (next.includes(driver) ? 2 : 0) + (before?.has(driver) ? 1 : 0);
    const rated = sitting.map((driver) => ({ driver, duties: duty.get(driver) ?? 0, strain: strain(driver) }));
    rated.sort((a, b) => a.duties - b.duties || a.strain - b.strain);
    const taken = new Set(rated.slice(0, wanted).map((one) => one.driver));
    for (const driver of taken) duty.set(driver, (duty.get(driver) ?? 0) + 1);
    onDuty.push(taken);
  }
  return onDuty;
}

/** Moves one duty along one chain that makes the counts more even; false when there is none. */
function evenOut(sitters: readonly Driver[][], onDuty: readonly Set<Driver>[], duty: Map<Driver, number>): boolean {
  const busiestFirst = [...duty.keys()].sort((a, b) => (duty.get(b) ?? 0) - (duty.get(a) ?? 0));
  const least = duty.get(busiestFirst.at(-1) as Driver) ?? 0;
  for (const from of busiestFirst) {
    const most = duty.get(from) ?? 0;
    if (most - least < 2) return false;
    const chain = findChain(from, most - 2, sitters, onDuty, duty);
    if (!chain) continue;
    for (const { giver, heat, taker } of chain) {
      onDuty[heat]?.delete(giver);
      onDuty[heat]?.add(taker);
    }
    duty.set(from, most - 1);
    const last = (chain.at(-1) as Handover).taker;
    duty.set(last, (duty.get(last) ?? 0) + 1);
    return true;
  }
  return false;
}

interface Handover {
  giver: Driver;
  heat: number;
  taker: Driver;
}

/** Breadth-first search for the shortest chain from a driver to one with at most `enough` duties. */
function findChain(
  from: Driver,
  enough: number,
  sitters: readonly Driver[][],
  onDuty: readonly Set<Driver>[],
  duty: Map<Driver, number>,
): Handover[] | null {
  const reachedBy = new Map<Driver, Handover | null>([[from, null]]);
  const heatsSeen = new Set<number>();
  const queue = [from];
  for (const giver of queue) {
    for (const [heat, taken] of onDuty.entries()) {
      if (heatsSeen.has(heat) || !taken.has(giver)) continue;
      heatsSeen.add(heat);
      for (const taker of sitters[heat] ?? []) {
        if (taken.has(taker) || reachedBy.has(taker)) continue;
        reachedBy.set(taker, { giver, heat, taker });
        if ((duty.get(taker) ?? 0) <= enough) return traceBack(taker, reachedBy);
        queue.push(taker);
      }
    }
  }
  return null;
}

function traceBack(end: Driver, reachedBy: ReadonlyMap<Driver, Handover | null>): Handover[] {
  const chain: Handover[] = [];
  for (let step = reachedBy.get(end); step; step = reachedBy.get(step.giver)) chain.unshift(step);
  return chain;
}
