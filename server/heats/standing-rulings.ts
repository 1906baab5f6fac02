import type { Ruling } from './facts.ts';
import { crossingId } from './order.ts';

/** What the rulings that stand add up to. Crossings are keyed by `crossingId`. */
export type StandingRulings = {
  /** Crossings by what they are judged: 0 to 9 laps. */
  readonly judged: ReadonlyMap<string, number>;
  /** Crossings by the lane they are treated as one of. */
  readonly moved: ReadonlyMap<string, number>;
  /** Lanes by the earliest instant from which they race no more. */
  readonly retiredAtUs: ReadonlyMap<number, number>;
  /** Lanes by the hundredths of a lap where the car stopped. */
  readonly part: ReadonlyMap<number, number>;
  /** Lanes by the heat as counted by hand. */
  readonly total: ReadonlyMap<number, number>;
  /** Lanes by what is added to their heat score. */
  readonly laneAdjust: ReadonlyMap<number, number>;
  /** Entries by what is added to their race score. */
  readonly entryAdjust: ReadonlyMap<string, number>;
  readonly excludedFromHeat: ReadonlySet<string>;
  readonly excludedFromRace: ReadonlySet<string>;
  readonly voided: boolean;
};

/**
 * The rulings that are not undone. An undo is a ruling and can itself be undone; as it names an earlier ruling only,
 * going backwards by number settles each undo before what it names.
 *
 * @param rulings of one heat, by rising number
 */
export function rulingsThatStand(rulings: readonly Ruling[]): Ruling[] {
  const undone = new Set<number>();
  const standing = rulings.toReversed().filter((ruling) => {
    if (undone.has(ruling.n)) return false;
    if (ruling.kind === 'undo') undone.add(ruling.target.n);
    return true;
  });
  return standing.reverse();
}

/**
 * Sums up the standing rulings of a heat. Of `judge`, `move`, `part` and `total` the latest (by number) holds, all
 * adjustments add up, of several `retire` of a lane the earliest instant counts.
 *
 * @param rulings of one heat, by rising number
 */
export function standingRulings(rulings: readonly Ruling[]): StandingRulings {
  const judged = new Map<string, number>();
  const moved = new Map<string, number>();
  const retiredAtUs = new Map<number, number>();
  const part = new Map<number, number>();
  const total = new Map<number, number>();
  const laneAdjust = new Map<number, number>();
  const entryAdjust = new Map<string, number>();
  const excludedFromHeat = new Set<string>();
  const excludedFromRace = new Set<string>();
  let voided = false;
  for (const ruling of rulingsThatStand(rulings)) {
    switch (ruling.kind) {
      case 'judge':
        judged.set(crossingId(ruling.target), ruling.value);
        break;
      case 'move':
        moved.set(crossingId(ruling.target), ruling.value);
        break;
      case 'adjust':
        if ('lane' in ruling.target) add(laneAdjust, ruling.target.lane, ruling.value);
        else add(entryAdjust, ruling.target.entry, ruling.value);
        break;
      case 'total':
        total.set(ruling.target.lane, ruling.value);
        break;
      case 'part':
        part.set(ruling.target.lane, ruling.value);
        break;
      case 'retire': {
        const earlier = retiredAtUs.get(ruling.target.lane) ?? ruling.atUs;
        retiredAtUs.set(ruling.target.lane, Math.min(earlier, ruling.atUs));
        break;
      }
      case 'exclude':
        (ruling.value === 'heat' ? excludedFromHeat : excludedFromRace).add(ruling.target.entry);
        break;
      case 'void':
        voided = true;
        break;
      case 'undo':
        break;
    }
  }
  return {
    judged,
    moved,
    retiredAtUs,
    part,
    total,
    laneAdjust,
    entryAdjust,
    excludedFromHeat,
    excludedFromRace,
    voided,
  };
}

function add<K>(sums: Map<K, number>, key: K, value: number): void {
  sums.set(key, (sums.get(key) ?? 0) + value);
}
