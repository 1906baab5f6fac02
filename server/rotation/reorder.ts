/** One heat of a plan that a director may rearrange. D: what stands for a driver. */
export interface PlannedHeat<D> {
  /** One seat a lane; null: empty. */
  readonly seats: readonly (D | null)[];
  readonly marshals: readonly D[];
  /** Called, armed or later: nothing of it may change any more. */
  readonly started: boolean;
}

/** One lane of one heat; both are positions from 0. */
export interface SeatPlace {
  readonly heat: number;
  readonly lane: number;
}

/** Why a change is refused. */
export type ReorderRefusal =
  | 'no such heat'
  | 'no such lane'
  | 'heat started'
  | 'nobody to move'
  | 'twice in a heat'
  | 'marshals that heat';

/** The plan after the change, or why it stays as it was. */
export type Reordered<T> =
  | { readonly ok: true; readonly heats: T[] }
  | { readonly ok: false; readonly why: ReorderRefusal };

const refuse = (why: ReorderRefusal) => ({ ok: false, why }) as const;

/**
 * Moves a heat to the place of another one. Heats that have started keep their numbers; the others close up around
 * them, in their order.
 *
 * @param from number of the heat to move, from 0
 * @param to number that it shall have, from 0; also not yet started
 */
export function moveHeat<T extends { readonly started: boolean }>(
  heats: readonly T[],
  from: number,
  to: number,
): Reordered<T> {
  const moved = heats[from];
  const target = heats[to];
  if (!moved || !target) return refuse('no such heat');
  if (moved.started || target.started) return refuse('heat started');
  const open = heats.flatMap((heat, h) => (heat.started ? [] : [h]));
  const waiting = open.filter((h) => h !== from);
  waiting.splice(open.indexOf(to), 0, from);
  const order = [...waiting];
  return { ok: true, heats: heats.map((heat) => (heat.started ? heat : (heats[order.shift() as number] as T))) };
}

/** Moves a heat one place up (-1) or down (+1) among those not yet started. */
export function stepHeat<T extends { readonly started: boolean }>(
  heats: readonly T[],
  from: number,
  by: -1 | 1,
): Reordered<T> {
  const open = heats.flatMap((heat, h) => (heat.started ? [] : [h]));
  if (!heats[from]) return refuse('no such heat');
  if (heats[from].started) return refuse('heat started');
  const to = open[open.indexOf(from) + by];
  return to === undefined ? refuse('no such heat') : moveHeat(heats, from, to);
}

/**
 * Swaps what two lanes hold, within a heat or between two heats not yet started; an empty lane may be one of them.
 * Refused when a driver would be twice in a heat, or would drive while standing marshal. Lane counts may become uneven:
 * measure the plan again and show it.
 */
export function swapSeats<D, T extends PlannedHeat<D>>(heats: readonly T[], a: SeatPlace, b: SeatPlace): Reordered<T> {
  const first = heats[a.heat];
  const second = heats[b.heat];
  if (!first || !second) return refuse('no such heat');
  const mine = first.seats[a.lane];
  const yours = second.seats[b.lane];
  if (mine === undefined || yours === undefined) return refuse('no such lane');
  if (first.started || second.started) return refuse('heat started');
  if (mine === yours) return refuse('nobody to move');
  if (first !== second) {
    if (seated(second, mine) || seated(first, yours)) return refuse('twice in a heat');
    if (onDuty(second, mine) || onDuty(first, yours)) return refuse('marshals that heat');
  }
  const put = (heat: T, h: number) => ({
    ...heat,
    seats: heat.seats.map((seat, lane) => {
      if (h === a.heat && lane === a.lane) return yours;
      if (h === b.heat && lane === b.lane) return mine;
      return seat;
    }),
  });
  return { ok: true, heats: heats.map(put) };
}

const seated = <D>(heat: PlannedHeat<D>, driver: D | null) => driver !== null && heat.seats.includes(driver);
const onDuty = <D>(heat: PlannedHeat<D>, driver: D | null) => driver !== null && heat.marshals.includes(driver);
