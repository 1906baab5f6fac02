import type { Crossing, CrossingKey, Ruling } from '../heats/facts.ts';
import type { HeatState } from '../heats/fold.ts';
import { crossingId } from '../heats/order.ts';
import { never, raceTimeAt } from '../heats/race-clock.ts';
import { rulingsThatStand } from '../heats/standing-rulings.ts';

/** A ruling as it is shown to everyone. */
export type RulingLine = {
  readonly ruling: Ruling;
  /** The ruling that undid it, by number; null: it stands. */
  readonly undoneBy: number | null;
  /** The later ruling that holds in its place, by number: of two that judge one crossing only the latest counts. */
  readonly replacedBy: number | null;
  /** The lane it is about: that of the crossing's sensor, or the one it names. */
  readonly lane: number | null;
  /** Who drove there, or the entry it names. */
  readonly entry: string | null;
  /** Race time of the crossing it is about; null for another ruling, or in a heat that was not started. */
  readonly raceUs: number | null;
};

/** The rulings of a heat, in the order in which they were made. */
export function rulingList(state: HeatState): RulingLine[] {
  const undoneBy = new Map<number, number>();
  const holding = new Map<string, number>();
  const standing = rulingsThatStand(state.rulings);
  for (const ruling of standing) {
    if (ruling.kind === 'undo') undoneBy.set(ruling.target.n, ruling.n);
    holding.set(aboutWhat(ruling), ruling.n);
  }
  const replacedBy = (ruling: Ruling) => {
    const held = holding.get(aboutWhat(ruling)) ?? ruling.n;
    return latestHolds.has(ruling.kind) && held !== ruling.n && standing.includes(ruling) ? held : null;
  };
  return state.rulings.map((ruling) => {
    const crossing = ruling.kind === 'judge' || ruling.kind === 'move' ? crossingOf(state, ruling.target) : null;
    const lane = crossing?.lane ?? ('lane' in ruling.target ? ruling.target.lane : null);
    const driven = state.plan.lanes.find((one) => one.lane === lane)?.entry ?? null;
    return {
      ruling,
      undoneBy: undoneBy.get(ruling.n) ?? null,
      replacedBy: replacedBy(ruling),
      lane,
      entry: 'entry' in ruling.target ? ruling.target.entry : driven,
      raceUs: crossing === null || state.clock.startUs === never ? null : raceTimeAt(state.clock, crossing.atUs),
    };
  });
}

/** Kinds of which the latest one holds; others add up, or stand beside each other. */
const latestHolds: ReadonlySet<Ruling['kind']> = new Set(['judge', 'move', 'part', 'total']);

/** One text for all rulings that could hold in each other's place. */
function aboutWhat(ruling: Ruling): string {
  const { kind, target } = ruling;
  const about = ruling.kind === 'judge' || ruling.kind === 'move' ? crossingId(ruling.target) : target;
  return JSON.stringify([kind, about]);
}

function crossingOf(state: HeatState, key: CrossingKey): Crossing | null {
  for (const { crossings } of state.lanes) {
    for (const { crossing } of crossings) {
      if (crossing.seq === key.seq && crossing.boot === key.boot && crossing.device === key.device) return crossing;
    }
  }
  return null;
}
