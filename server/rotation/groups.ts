import { randomFrom } from '../shared/random.ts';
import { byLot } from './lot.ts';
import { type DrawRequest, type Driver, mostCars, type Seat } from './rotation.ts';

/** Everybody who races from now on: without those who leave, with those who join. */
export function racing(request: Pick<DrawRequest, 'drivers' | 'leave' | 'join'>): Driver[] {
  const gone = new Set(request.leave);
  return [...request.drivers.filter((driver) => !gone.has(driver)), ...request.join.map((late) => late.driver)];
}

/**
 * The request of a night that has not begun, where that is all it is: before the first heat who leaves was never there,
 * and who joins for as many runs as the others always was.
 */
export function settled(request: DrawRequest): DrawRequest {
  if (request.done.length > 0) return request;
  const pairs = request.format === 'pairs';
  const likeOthers = request.join.every((late) => late.runsPerLane === request.runsPerLane);
  if (!pairs && (request.published.length > 0 || !likeOthers)) return request;
  return { ...request, drivers: racing(request), leave: [], join: [] };
}

/**
 * Groups of a request that names none: one; for drivers of like pace as many as cost no heat, which is as long as a
 * group fills the lanes.
 */
export function usualGroups(request: DrawRequest): number {
  if (request.preset !== 'equals') return 1;
  const drivers = racing(request).length;
  const smallest = Math.max(2, request.lanes - new Set(request.lanesOut).size);
  return Math.max(1, Math.floor(drivers / smallest));
}

/**
 * Who is in which group, in the order in which the groups race; groups of a given number differ in size by at most one.
 * Lists race as they are given. A number of groups is filled by lot from the seed; for the preset `equals` drivers are
 * listed fastest first and divided in that order, and the fastest group races last. Who races and is in no group yet
 * goes to the smallest one.
 */
export function groupsOf(request: DrawRequest): Driver[][] {
  const groups =
    typeof request.groups === 'number' ? divided(request, request.groups) : request.groups.map((g) => [...g]);
  const placed = new Set(groups.flat());
  const here = new Set(racing(request));
  const size = (group: readonly Driver[]) => group.filter((driver) => here.has(driver)).length;
  for (const driver of here) {
    if (placed.has(driver)) continue;
    groups.reduce((least, group) => (size(group) < size(least) ? group : least)).push(driver);
  }
  return groups;
}

function divided(request: DrawRequest, count: number): Driver[][] {
  const byPace = request.preset === 'equals';
  const order = byPace || count === 1 ? request.drivers : byLot(request.drivers, request.seed);
  const groups = Array.from({ length: count }, (_, g) =>
    order.slice(Math.floor((g * order.length) / count), Math.floor(((g + 1) * order.length) / count)),
  );
  return byPace ? groups.reverse() : groups;
}

/**
 * The requests of the groups, each as if nobody else were there: its own drivers and the heats they were in. Budget and
 * a wanted number of heats are shared out by size. Marshals are not theirs to give: they may come from any group.
 */
export function groupRequests(request: DrawRequest, groups: readonly (readonly Driver[])[]): DrawRequest[] {
  const seeds = randomFrom(request.seed);
  const sizes = groups.map((group) => racing(only(request, group)).length);
  const field = sizes.reduce((sum, size) => sum + size, 0);
  const heats = request.heats === null ? null : sharedHeats(request, sizes, request.heats);
  return groups.map((group, g) => ({
    ...only(request, group),
    groups: 1,
    marshals: 0,
    exempt: [],
    preset: request.preset === 'equals' ? 'opponents' : request.preset,
    heats: heats?.[g] ?? null,
    seed: groups.length === 1 ? request.seed : seeds.uint32(),
    budgetMs: field === 0 ? 0 : Math.floor((request.budgetMs * (sizes[g] ?? 0)) / field),
  }));
}

/** The least number of heats in which everybody of these groups runs once. */
export function heatsForOneRun(request: DrawRequest, sizes: readonly number[]): number {
  return sizes.reduce((sum, size) => sum + leastHeats(request, size), 0);
}

function leastHeats(request: DrawRequest, size: number): number {
  return size === 0 ? 0 : Math.ceil(size / mostCars({ ...request, drivers: numbered(size) }));
}

const numbered = (size: number): Driver[] => Array.from({ length: size }, (_, i) => i + 1);

/** Heats of each group: in a first draw one run for everybody, the others where there are fewest seats a driver so far. */
function sharedHeats(request: DrawRequest, sizes: readonly number[], heats: number): number[] {
  if (request.format === 'pairs') {
    // One leg or both, the same in every group.
    const pairs = sizes.map((size) => size * (size - 1));
    const all = pairs.reduce((sum, count) => sum + count, 0);
    return pairs.map((count) => (heats * count) / Math.max(1, all));
  }
  const shares = sizes.map((size) => (request.done.length === 0 ? leastHeats(request, size) : 0));
  const seatsEach = (g: number) => {
    const size = sizes[g] as number;
    return ((shares[g] as number) * mostCars({ ...request, drivers: numbered(size) })) / size;
  };
  const groups = sizes.flatMap((size, g) => (size > 0 ? [g] : []));
  const given = shares.reduce((sum, share) => sum + share, 0);
  for (let left = heats - given; left > 0 && groups.length > 0; left--) {
    const least = groups.reduce((a, b) => (seatsEach(b) < seatsEach(a) ? b : a));
    shares[least] = (shares[least] as number) + 1;
  }
  return shares;
}

/** The request without everybody who is not in the group. */
function only(request: DrawRequest, group: readonly Driver[]): DrawRequest {
  const own = new Set(group);
  const isOwn = (driver: Driver) => own.has(driver);
  const ownHeats = (heats: readonly (readonly Seat[])[]) =>
    heats
      .filter((row) => row.some((seat) => seat !== null && isOwn(seat)))
      .map((row) => row.map((seat) => (seat !== null && isOwn(seat) ? seat : null)));
  return {
    ...request,
    drivers: request.drivers.filter(isOwn),
    leave: request.leave.filter(isOwn),
    join: request.join.filter((late) => isOwn(late.driver)),
    done: ownHeats(request.done),
    published: ownHeats(request.published),
  };
}
