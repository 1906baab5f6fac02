import { groupRequests, groupsOf, heatsForOneRun, racing, settled } from './groups.ts';
import { pairsHeats } from './pairs.ts';
import { isRepair, repairTask } from './repair.ts';
import { type DrawRequest, type Driver, drawLimits, mostCars } from './rotation.ts';

/**
 * Why a well-formed request cannot be drawn. `key` is the key of the request that is meant; `nearest` and the like are
 * what the closest possible draw has instead.
 */
export type DrawProblem =
  | { readonly code: 'name twice'; readonly key: 'drivers'; readonly name: string; readonly nearest: number }
  | { readonly code: 'too few drivers'; readonly key: 'drivers'; readonly drivers: number }
  | { readonly code: 'too many drivers'; readonly key: 'drivers'; readonly drivers: number; readonly nearest: number }
  | { readonly code: 'nobody left'; readonly key: 'leave' }
  | { readonly code: 'too many lanes'; readonly key: 'lanes'; readonly lanes: number; readonly nearest: number }
  | {
      readonly code: 'not a lane';
      readonly key: 'lanesOut' | 'laneOrder';
      readonly lane: number;
      readonly lanes: number;
    }
  | { readonly code: 'no lane left'; readonly key: 'lanesOut'; readonly lane: number }
  | { readonly code: 'incomplete'; readonly key: 'laneOrder'; readonly nearest: readonly number[] }
  | { readonly code: 'cars'; readonly key: 'carsPerHeat'; readonly cars: number; readonly nearest: number }
  | { readonly code: 'unknown driver'; readonly key: 'exempt' | 'leave' | 'duties'; readonly name: string }
  | { readonly code: 'already there' | 'joins twice'; readonly key: 'join'; readonly name: string }
  | {
      readonly code: 'seats';
      readonly key: 'done' | 'published';
      readonly heat: number;
      readonly seats: number;
      readonly lanes: number;
    }
  | {
      readonly code: 'twice in a heat' | 'stranger in a heat';
      readonly key: 'done' | 'published';
      readonly heat: number;
      readonly name: string;
    }
  | { readonly code: 'too many groups'; readonly key: 'groups'; readonly groups: number; readonly nearest: number }
  | { readonly code: 'small group'; readonly key: 'groups'; readonly group: number }
  | {
      readonly code: 'in no group' | 'in two groups' | 'stranger in a group';
      readonly key: 'groups';
      readonly name: string;
    }
  | { readonly code: 'pairs lanes'; readonly key: 'format'; readonly lanes: number }
  | { readonly code: 'pairs cars'; readonly key: 'carsPerHeat' }
  | {
      readonly code: 'pairs heats';
      readonly key: 'heats';
      readonly heats: number;
      readonly single: number;
      readonly double: number;
    }
  | {
      readonly code: 'too few heats' | 'too many heats';
      readonly key: 'heats';
      readonly heats: number;
      readonly nearest: number;
    }
  | {
      readonly code: 'more runs than heats';
      readonly key: 'runsPerLane';
      readonly runs: number;
      readonly heats: number;
      readonly nearest: number;
    }
  | {
      readonly code: 'joins with too many runs';
      readonly key: 'join';
      readonly name: string;
      readonly runs: number;
      readonly heats: number;
      readonly nearest: number;
    };

/**
 * Finds what contradicts itself in a request whose values are of the right kind.
 *
 * @param askedRunsPerLane as the caller wrote it, null where it was left out
 * @returns the first problem, or null when the request can be drawn
 */
export function problemOf(request: DrawRequest, askedRunsPerLane: number | null): DrawProblem | null {
  return (
    ofDrivers(request) ??
    ofLanes(request) ??
    ofChanges(request) ??
    ofHeatList(request, 'done') ??
    ofHeatList(request, 'published') ??
    ofGroups(request) ??
    (request.format === 'pairs' ? ofPairs(request) : ofHeats(request, askedRunsPerLane))
  );
}

const firstTwice = (list: readonly Driver[]) => {
  const names = list.map(String);
  return names.find((name, i) => names.indexOf(name) !== i);
};

function ofDrivers(request: DrawRequest): DrawProblem | null {
  const { drivers, join } = request;
  const field = drivers.length + join.length;
  if (field > drawLimits.drivers) {
    const groups = Math.ceil(field / drawLimits.drivers);
    return { code: 'too many drivers', key: 'drivers', drivers: field, nearest: Math.ceil(field / groups) };
  }
  const twice = firstTwice(drivers);
  if (twice !== undefined) {
    return { code: 'name twice', key: 'drivers', name: twice, nearest: new Set(drivers.map(String)).size };
  }
  return field < 2 ? { code: 'too few drivers', key: 'drivers', drivers: field } : null;
}

function ofLanes(request: DrawRequest): DrawProblem | null {
  const { lanes, lanesOut, laneOrder, carsPerHeat } = request;
  if (lanes > drawLimits.lanes) return { code: 'too many lanes', key: 'lanes', lanes, nearest: drawLimits.lanes };
  for (const key of ['lanesOut', 'laneOrder'] as const) {
    const outside = request[key].find((lane) => lane > lanes);
    if (outside !== undefined) return { code: 'not a lane', key, lane: outside, lanes };
  }
  const inUse = Array.from({ length: lanes }, (_, l) => l + 1).filter((lane) => !lanesOut.includes(lane));
  if (inUse.length === 0) return { code: 'no lane left', key: 'lanesOut', lane: lanesOut.at(-1) as number };
  const order = new Set(laneOrder);
  const whole = order.size === laneOrder.length && inUse.every((lane) => order.has(lane));
  if (!whole || (order.size !== inUse.length && order.size !== lanes)) {
    return { code: 'incomplete', key: 'laneOrder', nearest: [...new Set([...laneOrder, ...inUse])] };
  }
  if (carsPerHeat !== null && (carsPerHeat < 1 || carsPerHeat > lanes)) {
    return { code: 'cars', key: 'carsPerHeat', cars: carsPerHeat, nearest: carsPerHeat < 1 ? 1 : lanes };
  }
  return null;
}

function ofChanges(request: DrawRequest): DrawProblem | null {
  const { drivers, leave, exempt, duties } = request;
  const joining = request.join.map((late) => late.driver);
  const present = joining.find((driver) => drivers.includes(driver));
  if (present !== undefined) return { code: 'already there', key: 'join', name: String(present) };
  const twice = firstTwice(joining);
  if (twice !== undefined) return { code: 'joins twice', key: 'join', name: twice };
  const unknown = (list: readonly Driver[]) =>
    list.find((driver) => !drivers.includes(driver) && !joining.includes(driver));
  for (const [key, name] of [
    ['leave', leave.find((driver) => !drivers.includes(driver))] as const,
    ['exempt', unknown(exempt)] as const,
    ['duties', unknown(duties.map((one) => one.driver))] as const,
  ]) {
    if (name !== undefined) return { code: 'unknown driver', key, name: String(name) };
  }
  const left = racing(request).length;
  return left === 0 || (left === 1 && request.done.length === 0) ? { code: 'nobody left', key: 'leave' } : null;
}

function ofHeatList(request: DrawRequest, key: 'done' | 'published'): DrawProblem | null {
  const known = new Set([...request.drivers, ...request.join.map((late) => late.driver)]);
  for (const [h, row] of request[key].entries()) {
    const heat = h + 1;
    if (row.length !== request.lanes) return { code: 'seats', key, heat, seats: row.length, lanes: request.lanes };
    const driving = row.filter((seat) => seat !== null);
    const twice = firstTwice(driving);
    if (twice !== undefined) return { code: 'twice in a heat', key, heat, name: twice };
    const stranger = driving.find((driver) => !known.has(driver));
    if (stranger !== undefined) return { code: 'stranger in a heat', key, heat, name: String(stranger) };
  }
  return null;
}

function ofGroups(request: DrawRequest): DrawProblem | null {
  const { groups } = request;
  const here = racing(request);
  if (typeof groups === 'number') {
    const most = Math.max(1, Math.floor(request.drivers.length / 2));
    return groups > most ? { code: 'too many groups', key: 'groups', groups, nearest: most } : null;
  }
  const listed = groups.flat();
  const twice = firstTwice(listed);
  if (twice !== undefined) return { code: 'in two groups', key: 'groups', name: twice };
  const stranger = listed.find((driver) => !request.drivers.includes(driver) && !here.includes(driver));
  if (stranger !== undefined) return { code: 'stranger in a group', key: 'groups', name: String(stranger) };
  const gone = new Set(request.leave);
  const missing = request.drivers.find((driver) => !listed.includes(driver) && !gone.has(driver));
  if (missing !== undefined) return { code: 'in no group', key: 'groups', name: String(missing) };
  const small = groups.findIndex((group) => group.length < 2);
  return small >= 0 ? { code: 'small group', key: 'groups', group: small + 1 } : null;
}

/** Sizes of the groups as they race now. */
function groupSizes(request: DrawRequest): number[] {
  const here = new Set(racing(request));
  return groupsOf(request).map((group) => group.filter((driver) => here.has(driver)).length);
}

function ofPairs(request: DrawRequest): DrawProblem | null {
  const inUse = request.lanes - request.lanesOut.length;
  if (inUse !== 2) return { code: 'pairs lanes', key: 'format', lanes: inUse };
  if (request.carsPerHeat === 1) return { code: 'pairs cars', key: 'carsPerHeat' };
  const { heats } = request;
  if (heats === null) return null;
  const double = groupSizes(request).reduce((sum, size) => sum + pairsHeats(size, 1), 0);
  if (heats === double || heats === double / 2) return null;
  return { code: 'pairs heats', key: 'heats', heats, single: double / 2, double };
}

function ofHeats(request: DrawRequest, askedRuns: number | null): DrawProblem | null {
  const { heats } = request;
  if (heats === null) return null;
  const lanes = request.lanes - request.lanesOut.length;
  const drivers = racing(request);
  const first = request.done.length === 0;
  const least = first ? heatsForOneRun(request, groupSizes(request)) : 1;
  if (heats < least) return { code: 'too few heats', key: 'heats', heats, nearest: least };
  const most = Math.ceil((drawLimits.runsPerLane * lanes * drivers.length) / mostCars({ ...request, drivers }));
  if (heats > most) return { code: 'too many heats', key: 'heats', heats, nearest: most };
  if (first && askedRuns !== null && askedRuns > 1 && askedRuns * lanes > heats) {
    const nearest = askedRuns * Math.max(drivers.length, lanes);
    return { code: 'more runs than heats', key: 'runsPerLane', runs: askedRuns * lanes, heats, nearest };
  }
  const late = request.join.find((one) => one.runsPerLane > 1 && one.runsPerLane * lanes > heats);
  if (late) {
    const runs = late.runsPerLane * lanes;
    const nearest = Math.floor(heats / lanes);
    return { code: 'joins with too many runs', key: 'join', name: String(late.driver), runs, heats, nearest };
  }
  return ofRunsLeft(request, heats);
}

/** Finds out whether a repair has runs to fill the heats it asks for. */
function ofRunsLeft(request: DrawRequest, heats: number): DrawProblem | null {
  const possible = groupRequests(request, groupsOf(request)).map((group) => {
    const own = settled(group);
    const answer = isRepair(own) ? repairTask(own) : null;
    return answer === null || answer.ok ? (group.heats as number) : answer.problem.most;
  });
  const nearest = possible.reduce((sum, count) => sum + count, 0);
  return nearest < heats ? { code: 'too many heats', key: 'heats', heats, nearest } : null;
}
