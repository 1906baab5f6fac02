import type { Certificate, Driver, Seat } from '../rotation.ts';
import type { Purpose } from './certify.ts';
import { sumOf } from './squares.ts';
import { unreached } from './verdicts.ts';

/** Who may marshal which heats. */
export interface DutyNight {
  /** Everybody who may be asked, also those of other groups. */
  readonly drivers: readonly Driver[];
  readonly exempt: readonly Driver[];
  readonly heats: readonly (readonly Seat[])[];
  /** Who marshals each heat. */
  readonly marshals: readonly (readonly Driver[])[];
  /** Marshals wanted in each heat. */
  readonly wanted: number;
  /** Duties done before these heats; none unless said otherwise. */
  readonly before?: ReadonlyMap<Driver, number>;
  /** What decided about the marshals; a search unless said otherwise. */
  readonly purpose?: Purpose;
}

/**
 * Marshal duty against the smallest spread that these heats allow with as many marshals in each; proved best only where
 * no heat is shorter of marshals than it must be.
 */
export function certifyDuty(night: DutyNight): Certificate['duty'] {
  const exempt = new Set(night.exempt);
  const able = night.drivers.filter((driver) => !exempt.has(driver));
  const before = able.map((driver) => night.before?.get(driver) ?? 0);
  const duties = new Map(able.map((driver, i) => [driver, before[i] ?? 0]));
  for (const driver of night.marshals.flat()) {
    const soFar = duties.get(driver);
    if (soFar !== undefined) duties.set(driver, soFar + 1);
  }
  const counts = [...duties.values()];
  const min = counts.length > 0 ? Math.min(...counts) : 0;
  const max = Math.max(0, ...counts);
  const spread = max - min;

  const sitting = night.heats.map((seats) => able.flatMap((driver, i) => (seats.includes(driver) ? [] : [i])));
  const onDuty = night.heats.map((_, h) => (night.marshals[h] ?? []).filter((driver) => duties.has(driver)).length);
  const missing = onDuty.map((marshals) => Math.max(0, night.wanted - marshals));
  const unavoidable = sitting.map((list) => Math.max(0, night.wanted - list.length));
  const staffed = missing.every((posts, h) => posts <= (unavoidable[h] ?? 0));

  const even = able.length > 0 && (sumOf(onDuty) + sumOf(before)) % able.length !== 0 ? 1 : 0;
  const asked = onDuty.map((marshals, h) => Math.min(marshals, sitting[h]?.length ?? 0));
  // Most plans are as even as the numbers alone allow; only others need the exact answer.
  const bound = spread <= even ? even : leastDutySpread(sitting, asked, able.length, before);
  const figures = { min, max, spread, shortage: Math.max(0, ...missing), bound };
  return spread === bound && staffed
    ? {
        ...figures,
        verdict: 'proved best',
        why: bound === even && sumOf(before) === 0 && alike(sitting, able.length) ? 'theorem' : 'bound reached',
      }
    : { ...figures, ...unreached(night.purpose ?? 'opponents', 'duty') };
}

/**
 * Everybody sits out as often as the next, and as many in each heat. Then duties can always differ by at most one: give
 * each who sits out the same fraction of a duty, and round it by a flow.
 */
function alike(sitting: readonly (readonly number[])[], people: number): boolean {
  const sitOuts = Array<number>(people).fill(0);
  for (const person of sitting.flat()) sitOuts[person] = (sitOuts[person] ?? 0) + 1;
  return new Set(sitOuts).size <= 1 && new Set(sitting.map((list) => list.length)).size <= 1;
}

/**
 * Smallest difference between most and fewest duties. The smallest most and the largest fewest are reached together, as
 * the possible lists of duties are the bases of a polymatroid (A. Frank, K. Murota: Decreasing minimization on M-convex
 * sets, 2022), and each is a question to a maximum flow.
 *
 * @param sitting by heat, who could marshal it: numbers 0 to people - 1
 * @param asked by heat, how many marshal it; at most as many as sit
 * @param before duties of each person before these heats
 */
export function leastDutySpread(
  sitting: readonly (readonly number[])[],
  asked: readonly number[],
  people: number,
  before: readonly number[] = Array<number>(people).fill(0),
): number {
  if (people === 0) return 0;
  const duties = sumOf(asked);
  const busiest = Math.max(...before);
  const share = (duties + sumOf(before)) / people;
  let most = Math.ceil(share);
  while (most < busiest + sitting.length && dutiesUpTo(most, sitting, asked, before) < duties) most += 1;
  let fewest = Math.floor(share);
  const missing = (level: number) => sumOf(before.map((done) => Math.max(0, level - done)));
  // Everybody at `fewest` can be completed to a full plan: a flow only grows where it is enlarged.
  while (fewest > 0 && dutiesUpTo(fewest, sitting, asked, before) < missing(fewest)) fewest -= 1;
  return Math.max(most, busiest) - fewest;
}

/** Most duties that can be given to those who stay at or below `cap`: a maximum flow by augmenting paths. */
function dutiesUpTo(
  cap: number,
  sitting: readonly (readonly number[])[],
  asked: readonly number[],
  before: readonly number[],
): number {
  const load = [...before];
  const given = sitting.map(() => new Set<number>());
  const heatsOf: Set<number>[] = load.map(() => new Set());
  const give = (heat: number, person: number) => {
    given[heat]?.add(person);
    heatsOf[person]?.add(heat);
  };
  let total = 0;
  for (const [heat, posts] of asked.entries()) {
    for (let post = 0; post < posts; post++) {
      const path = pathToSpareTime(heat, cap, sitting, given, heatsOf, load);
      if (path === null) break;
      for (const { from, person, to } of path) {
        // The person takes the post in `from` and leaves the one in `to`, which the next on the path takes.
        give(from, person);
        if (to === null) load[person] = (load[person] ?? 0) + 1;
        else {
          given[to]?.delete(person);
          heatsOf[person]?.delete(to);
        }
      }
      total += 1;
    }
  }
  return total;
}

interface Handover {
  readonly from: number;
  readonly person: number;
  readonly to: number | null;
}

function pathToSpareTime(
  start: number,
  cap: number,
  sitting: readonly (readonly number[])[],
  given: readonly ReadonlySet<number>[],
  heatsOf: readonly ReadonlySet<number>[],
  load: readonly number[],
): Handover[] | null {
  const reachedBy = new Map<number, { from: number; person: number } | null>([[start, null]]);
  const seen = new Set<number>();
  const queue = [start];
  for (const heat of queue) {
    for (const person of sitting[heat] ?? []) {
      if (seen.has(person) || given[heat]?.has(person)) continue;
      seen.add(person);
      if ((load[person] ?? 0) < cap) {
        const path: Handover[] = [{ from: heat, person, to: null }];
        for (let at = heat, step = reachedBy.get(at); step; at = step.from, step = reachedBy.get(at)) {
          path.push({ from: step.from, person: step.person, to: at });
        }
        return path;
      }
      for (const next of heatsOf[person] ?? []) {
        if (reachedBy.has(next)) continue;
        reachedBy.set(next, { from: heat, person });
        queue.push(next);
      }
    }
  }
  return null;
}
