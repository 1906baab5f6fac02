import type { Crossing, CrossingKey, Ruling } from '../heats/facts.ts';
import type { HeatState } from '../heats/fold.ts';
import { never, raceTimeAt } from '../heats/race-clock.ts';
import { rulingsThatStand } from '../heats/standing-rulings.ts';

/** A ruling as it is shown to everyone. */
export type RulingLine = {
  readonly ruling: Ruling;
  /** The ruling that undid it, by number; null: it stands. */
  readonly undoneBy: number | null;
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
  for (const ruling of rulingsThatStand(state.rulings)) {
    if (ruling.kind === 'undo') undoneBy.set(ruling.target.n, ruling.n);
  }
  return state.rulings.map((ruling) => {
    const crossing = ruling.kind === 'judge' || ruling.kind === 'move' ? crossingOf(state, ruling.target) : null;
    const lane = crossing?.lane ?? ('lane' in ruling.target ? ruling.target.lane : null);
    const driven = state.plan.lanes.find((one) => one.lane === lane)?.entry ?? null;
    return {
      ruling,
      undoneBy: undoneBy.get(ruling.n) ?? null,
      lane,
      entry: 'entry' in ruling.target ? ruling.target.entry : driven,
      raceUs: crossing === null || state.clock.startUs === never ? null : raceTimeAt(state.clock, crossing.atUs),
    };
  });
}

function crossingOf(state: HeatState, key: CrossingKey): Crossing | null {
  for (const { crossings } of state.lanes) {
    for (const { crossing } of crossings) {
      if (crossing.seq === key.seq && crossing.boot === key.boot && crossing.device === key.device) return crossing;
    }
  }
  return null;
}
