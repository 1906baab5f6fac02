import { draw } from './draw.ts';
import { assignMarshals } from './marshals.ts';
import { drawNeeds, type Need } from './needs.ts';
import { type Driver, defaultLaneOrder, drawRequest, type Seat } from './rotation.ts';

/** A heat that stays as it is: it was armed or run already, or runs another one again. */
export interface KeptHeat {
  /** One seat a lane (index lane - 1). */
  readonly seats: readonly Seat[];
  /** False for a void heat: its runs must be driven again. */
  readonly counts: boolean;
}

export interface RedrawRequest {
  /** Who drives, in the order in which they first race. */
  readonly drivers: readonly Driver[];
  /** Lanes of the track. */
  readonly lanes: number;
  /** Lanes in use, each once, in the order in which drivers step through them. */
  readonly laneOrder: readonly number[];
  readonly runsPerLane: number;
  /** Marshals wanted in each heat. */
  readonly marshals: number;
  readonly kept: readonly KeptHeat[];
}

/** Heats to put after the kept ones. */
export interface Redrawn {
  readonly heats: readonly (readonly Seat[])[];
  readonly marshals: readonly (readonly Driver[])[];
}

/**
 * Draws what is left to run. Before any heat counts that is the step rotation; later everybody gets the lanes they have
 * not had `runsPerLane` times yet, in the fewest heats: who came late catches up, who went home is left out.
 */
export function redraw(request: RedrawRequest): Redrawn {
  const { drivers, lanes, laneOrder, runsPerLane, marshals } = request;
  const counted = request.kept.filter((heat) => heat.counts);
  if (counted.length === 0) {
    const lanesOut = Array.from({ length: lanes }, (_, i) => i + 1).filter((lane) => !laneOrder.includes(lane));
    return draw(drawRequest({ drivers, lanes, lanesOut, laneOrder, runsPerLane, marshals }));
  }
  const last = counted.at(-1)?.seats.filter((seat) => seat !== null) ?? [];
  const heats = drawNeeds(lanes, needsLeft(request), last);
  return { heats, marshals: assignMarshals({ drivers, marshals, exempt: [] }, heats).marshals };
}

/** The runs that each driver still needs beside those of the kept heats that count; never less than none. */
export function needsLeft(request: Omit<RedrawRequest, 'lanes' | 'marshals'>): Need[] {
  const counted = request.kept.filter((heat) => heat.counts);
  return request.drivers.map((driver) => {
    const had = (lane: number) => counted.filter(({ seats }) => seats[lane - 1] === driver).length;
    const left = request.laneOrder.map((lane) => [lane, Math.max(0, request.runsPerLane - had(lane))] as const);
    return { driver, runs: new Map(left.filter(([, runs]) => runs > 0)) };
  });
}

/** How often each driver drives in these heats. */
export function runsOf(heats: readonly (readonly Seat[])[]): Map<Driver, number> {
  const runs = new Map<Driver, number>();
  for (const seat of heats.flat()) if (seat !== null) runs.set(seat, (runs.get(seat) ?? 0) + 1);
  return runs;
}

/** How often two drivers meet in these heats: rows and columns in the order of `drivers`, 0 on the diagonal. */
export function meetingsTable(drivers: readonly Driver[], heats: readonly (readonly Seat[])[]): number[][] {
  return drivers.map((a) =>
    drivers.map((b) => (a === b ? 0 : heats.filter((seats) => seats.includes(a) && seats.includes(b)).length)),
  );
}

/**
 * What a draw of these lanes usually asks for: once heats are drawn, the lanes they use and the most runs that somebody
 * has on one lane; before that every lane once.
 *
 * @param lanes of the night
 * @param heats the lanes of each heat that counts or will be run
 */
export function usualOptions(
  lanes: readonly number[],
  heats: readonly (readonly { readonly lane: number; readonly entryId: string }[])[],
): { runsPerLane: number; laneOrder: number[] } {
  const runs = new Map<string, number>();
  for (const { lane, entryId } of heats.flat()) {
    const key = `${lane} ${entryId}`;
    runs.set(key, (runs.get(key) ?? 0) + 1);
  }
  const used = new Set(heats.flat().map((one) => one.lane));
  const inUse = lanes.filter((lane) => used.size === 0 || used.has(lane));
  return {
    runsPerLane: Math.max(1, ...runs.values()),
    laneOrder: defaultLaneOrder(Math.max(...lanes)).filter((lane) => inUse.includes(lane)),
  };
}
