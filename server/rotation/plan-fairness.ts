import { certify, type Purpose } from './certificate/certify.ts';
import { certifyDuty } from './certificate/duty.ts';
import { joinCertificates } from './certificate/join.ts';
import { meetingsTable } from './plan-counts.ts';
import type { Certificate, Driver, Seat } from './rotation.ts';

/** How fair a plan is, as drawn or as changed by hand. */
export type PlanFairness = {
  readonly certificate: Certificate;
  /** Everybody who is on a lane somewhere; rows and columns of `meetings`. */
  readonly drivers: readonly Driver[];
  readonly meetings: readonly (readonly number[])[];
};

type PlannedHeat = { readonly seats: readonly Seat[]; readonly marshals: readonly Driver[] };

/** How a plan came about. */
export type PlanOrigin = {
  /** What decided about the heats: a preset as long as they are as drawn. */
  readonly purpose: Purpose;
  /** Drivers who never stand marshal. */
  readonly exempt: readonly Driver[];
  /** Groups that were drawn to race among themselves. */
  readonly groups: readonly (readonly Driver[])[];
};

/**
 * Measures the heats of a race that count or will be run.
 *
 * @param order all drivers in the order in which they are shown
 * @param heats seats (index lane - 1) and marshals of each heat, without void ones
 * @param marshals wanted in each heat
 * @param origin by hand, everybody marshals and no groups, unless said otherwise
 * @returns null while nobody is on the plan
 */
export function planFairness(
  order: readonly Driver[],
  heats: readonly PlannedHeat[],
  marshals: number,
  { purpose = 'by hand', exempt = [], groups = [] }: Partial<PlanOrigin> = {},
): PlanFairness | null {
  const seats = heats.map((heat) => heat.seats);
  const seated = new Set(seats.flat());
  const drivers = order.filter((driver) => seated.has(driver));
  if (drivers.length === 0) return null;
  const lanes = seats[0]?.length ?? 0;
  const lanesOut = Array.from({ length: lanes }, (_, l) => l + 1).filter((lane) =>
    seats.every((row) => row[lane - 1] === null),
  );
  const parts = separateGroups(drivers, seats, groups).map((part) =>
    certify({ ...part, lanes, lanesOut, marshals: part.heats.map(() => []), wanted: 0, purpose }),
  );
  const duties = heats.map((heat) => heat.marshals.filter((marshal) => seated.has(marshal)));
  const duty = certifyDuty({ drivers, exempt, heats: seats, marshals: duties, wanted: marshals, purpose });
  return { certificate: joinCertificates(parts, duty), drivers, meetings: meetingsTable(drivers, seats) };
}

/** The drivers and heats of each group; everybody together unless each heat is of one group. */
function separateGroups(
  drivers: readonly Driver[],
  heats: readonly (readonly Seat[])[],
  groups: readonly (readonly Driver[])[],
): { drivers: readonly Driver[]; heats: readonly (readonly Seat[])[] }[] {
  const groupOf = new Map(groups.flatMap((group, g) => group.map((driver) => [driver, g] as const)));
  const groupOfHeat = heats.map((seats) => {
    const [group, ...others] = new Set(seats.flatMap((seat) => (seat === null ? [] : [groupOf.get(seat)])));
    return others.length === 0 ? group : undefined;
  });
  if (groupOfHeat.includes(undefined)) return [{ drivers, heats }];
  return [...new Set(groupOfHeat)].map((g) => ({
    drivers: drivers.filter((driver) => groupOf.get(driver) === g),
    heats: heats.filter((_, h) => groupOfHeat[h] === g),
  }));
}

/** Two minutes between two heats (common practice, no source). */
export const changeoverMs = 120_000;

/**
 * How long heats will take, in milliseconds; null where a heat may last for ever.
 *
 * @param lengthMs longest length of one heat
 */
export function planLengthMs(heats: number, lengthMs: number | null): number | null {
  return lengthMs === null ? null : heats * (lengthMs + changeoverMs);
}
