import type { Purpose } from './certificate/certify.ts';
import { settled } from './groups.ts';
import { byLot } from './lot.ts';
import { drawPairs } from './pairs.ts';
import { queueEngine, queueHeats } from './queue.ts';
import { isRepair, repairedHeats, repairTask } from './repair.ts';
import { type DrawRequest, type Driver, drawLimits, fewestHeats, mostCars, type Seat } from './rotation.ts';
import { searchEngine } from './search/engine.ts';
import { searchNeeds } from './search/needs-search.ts';
import { searchSets } from './search/sets.ts';
import { type DrawTask, type Search, type Seats, stepsFor } from './search/task.ts';

/** How the heats of one group come about. */
export interface Part {
  /** The request of the group, as certified: who left before any heat and who came before it are settled. */
  readonly request: DrawRequest;
  readonly engine: string;
  readonly purpose: Purpose;
  readonly fewestHeats: number;
  /** Units of work of the search, 0 where there is none. */
  readonly steps: number;
  /** Null where a rule gives the heats. */
  readonly search: Search | null;
  /** Heats from what the search found; where there is no search the heats of the rule. */
  heats(found: Seats | null): Seat[][];
}

/**
 * Decides how one group is drawn: by the Berger table, by the queue, or by a search, for a whole night or for what is
 * left of it. The queue cannot go on from heats that were run, nor fill any number of heats evenly; such requests for
 * the preset `step` are searched as for `opponents`.
 *
 * @param given one group's request, see `groupRequests`
 */
export function partOf(given: DrawRequest): Part {
  const request = settled(given);
  if (request.format === 'pairs') {
    const heats = drawPairs(request);
    return { request, engine: 'pairs 1', purpose: 'table', ...byRule(heats, heats.length) };
  }
  if (isRepair(request)) return repairPart(request);
  const runsPerLane = request.preset === 'step' ? queueRuns(request) : null;
  if (runsPerLane !== null || request.drivers.length < 2) {
    const heats = queueHeats({ ...request, runsPerLane: runsPerLane ?? request.runsPerLane });
    return { request, engine: queueEngine, purpose: 'step', ...byRule(heats, heats.length) };
  }
  return firstPart(request);
}

const byRule = (heats: Seat[][], fewest: number) => ({
  fewestHeats: fewest,
  steps: 0,
  search: null,
  heats: () => heats,
});

/** Runs on every lane in as many heats as the request asks for; null where the queue cannot make so many. */
function queueRuns(request: DrawRequest): number | null {
  if (request.heats === null) return request.runsPerLane;
  for (let runsPerLane = 1; runsPerLane <= drawLimits.runsPerLane; runsPerLane++) {
    if (fewestHeats({ ...request, runsPerLane }) === request.heats) return runsPerLane;
  }
  return null;
}

const searchPreset = ({ preset }: DrawRequest): DrawTask['preset'] =>
  preset === 'rest' || preset === 'balanced' ? preset : 'opponents';

function firstPart(request: DrawRequest): Part {
  const lanes = lanesInUse(request);
  // By lot, so that the order of the list favours nobody.
  const drivers = byLot(request.drivers, request.seed);
  const heats = request.heats ?? fewestHeats(request);
  const seats = request.heats === null ? null : heats * mostCars(request);
  const runs = drivers.map((_, d) =>
    seats === null
      ? request.runsPerLane * lanes.length
      : Math.floor(((d + 1) * seats) / drivers.length) - Math.floor((d * seats) / drivers.length),
  );
  const task: DrawTask = {
    drivers: drivers.length,
    lanes,
    done: [],
    published: [],
    runs,
    needs: null,
    heats,
    preset: searchPreset(request),
    seed: request.seed,
    steps: stepsFor(request.budgetMs),
  };
  return {
    request,
    engine: searchEngine,
    purpose: task.preset,
    fewestHeats: heats,
    steps: task.steps,
    search: searchSets(task),
    heats: (found) => seatsOf(found as Seats, task, drivers, request.lanes),
  };
}

function repairPart(request: DrawRequest): Part {
  const answer = repairTask(request);
  if (!answer.ok) throw new RangeError(`not a request to draw: ${answer.problem.code}`);
  const { repair } = answer;
  const { task } = repair;
  const common = { request, engine: searchEngine, purpose: task.preset };
  // Everything was run.
  if (task.heats === 0) return { ...common, ...byRule([], 0) };
  return {
    ...common,
    fewestHeats: repair.fewestHeats,
    steps: task.steps,
    search: searchNeeds(task),
    heats: (found) => repairedHeats(repair, found as Seats, request.lanes),
  };
}

function lanesInUse(request: DrawRequest): number[] {
  return Array.from({ length: request.lanes }, (_, l) => l + 1).filter((lane) => !request.lanesOut.includes(lane));
}

function seatsOf(found: Seats, task: DrawTask, drivers: readonly Driver[], lanesOfTrack: number): Seat[][] {
  const width = task.lanes.length;
  return Array.from({ length: task.heats }, (_, h) => {
    const seats = Array<Seat>(lanesOfTrack).fill(null);
    for (const [l, lane] of task.lanes.entries()) seats[lane - 1] = drivers[found[h * width + l] as number] ?? null;
    return seats;
  });
}
