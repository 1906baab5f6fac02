import type { Driver, Seat } from './rotation.ts';

/** What one driver does in one heat. */
export type Duty =
  | { readonly kind: 'drive'; readonly lane: number }
  | { readonly kind: 'marshal'; readonly post: number }
  | { readonly kind: 'rest' };

/** One driver's night. */
export type DriverLine = {
  readonly driver: Driver;
  /** One a heat. */
  readonly duties: readonly Duty[];
  /** Heats driven. */
  readonly drives: number;
  /** Heats marshalled. */
  readonly marshals: number;
};

/** Who does what in which heat. */
export type NightLine = {
  readonly lines: readonly DriverLine[];
  /** For each heat the marshal posts that nobody stands at. */
  readonly emptyPosts: readonly number[];
};

/** A heat as far as its line of the night goes. */
export type NightHeat = {
  /** One seat a lane (index lane - 1). */
  readonly seats: readonly Seat[];
  /** By post, the first is post 1. */
  readonly marshals: readonly Driver[];
};

/**
 * The night of each driver over the heats in order.
 *
 * @param drivers whose nights are wanted, in the order of the answer
 * @param marshals wanted in each heat
 */
export function nightLine(drivers: readonly Driver[], heats: readonly NightHeat[], marshals: number): NightLine {
  const byHeat = heats.map(dutiesOf);
  const lines = drivers.map((driver) => {
    const duties = byHeat.map((duties) => duties.get(driver) ?? rest);
    const count = (kind: Duty['kind']) => duties.filter((duty) => duty.kind === kind).length;
    return { driver, duties, drives: count('drive'), marshals: count('marshal') };
  });
  return { lines, emptyPosts: heats.map((heat) => Math.max(0, marshals - heat.marshals.length)) };
}

const rest: Duty = { kind: 'rest' };

/** Who does what in one heat; somebody who is on a lane and at a post drives. */
function dutiesOf({ seats, marshals }: NightHeat): Map<Driver, Duty> {
  const duties = new Map<Driver, Duty>();
  for (const [i, driver] of marshals.entries()) duties.set(driver, { kind: 'marshal', post: i + 1 });
  for (const [l, driver] of seats.entries()) if (driver !== null) duties.set(driver, { kind: 'drive', lane: l + 1 });
  return duties;
}

/** When heats will probably start: milliseconds after the first one, or after now; null for a heat that is over. */
export type HeatTimes = { readonly from: 'start' | 'now'; readonly afterMs: readonly (number | null)[] };

/**
 * Estimates by the plan alone. Before the first heat was run: from its start on. Later: the next heat in a changeover's
 * time from now, the others behind it; an armed heat starts now.
 *
 * @param stages one a heat, as `heatStage` says
 * @param slotMs longest length of a heat with the changeover before the next one; null where a heat may last for ever
 * @param changeoverMs from the end of a heat to the next start
 * @returns null where nobody can say
 */
export function heatTimes(
  stages: readonly ('planned' | 'armed' | 'run' | 'void')[],
  slotMs: number | null,
  changeoverMs: number,
): HeatTimes | null {
  if (slotMs === null) return null;
  const over = (stage: string) => stage === 'run' || stage === 'void';
  if (stages.every(over)) return null;
  if (!stages.some(over)) return { from: 'start', afterMs: stages.map((_, h) => h * slotMs) };
  const first = stages.find((stage) => !over(stage)) === 'armed' ? 0 : changeoverMs;
  let before = 0;
  return {
    from: 'now',
    afterMs: stages.map((stage) => {
      if (over(stage)) return null;
      before += 1;
      return first + (before - 1) * slotMs;
    }),
  };
}
