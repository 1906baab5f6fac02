import { certify, type Purpose } from './certificate/certify.ts';
import { meetingsTable } from './redraw.ts';
import { type Certificate, type Driver, type Seat } from './rotation.ts';

/** How fair a plan is, as drawn or as changed by hand. */
export type PlanFairness = {
  readonly certificate: Certificate;
  /** Everybody who is on a lane somewhere; rows and columns of `meetings`. */
  readonly drivers: readonly Driver[];
  readonly meetings: readonly (readonly number[])[];
};

/**
 * Measures the heats of a race that count or will be run.
 *
 * @param order all drivers in the order in which they are shown
 * @param heats seats (index lane - 1) and marshals of each heat, without void ones
 * @param marshals wanted in each heat
 * @param purpose what decided about the heats
 * @returns null while nobody is on the plan
 */
export function planFairness(
  order: readonly Driver[],
  heats: readonly { readonly seats: readonly Seat[]; readonly marshals: readonly Driver[] }[],
  marshals: number,
  purpose: Purpose = 'by hand',
): PlanFairness | null {
  const seats = heats.map((heat) => heat.seats);
  const seated = new Set(seats.flat());
  const drivers = order.filter((driver) => seated.has(driver));
  if (drivers.length === 0) return null;
  const lanes = seats[0]?.length ?? 0;
  const lanesOut = Array.from({ length: lanes }, (_, l) => l + 1).filter((lane) =>
    seats.every((row) => row[lane - 1] === null),
  );
  const duties = heats.map((heat) => heat.marshals.filter((marshal) => seated.has(marshal)));
  return {
    certificate: certify({ drivers, lanes, lanesOut, heats: seats, marshals: duties, wanted: marshals, purpose }),
    drivers,
    meetings: meetingsTable(drivers, seats),
  };
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
