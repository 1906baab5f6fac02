import type { OutcomeState } from './heat-outcome.ts';
import type { Race } from './meeting-facts.ts';

/** A heat of an entry, as far as its race needs it. Scores as in `LaneSummary`. */
export type OwnHeat = {
  readonly heat: string;
  readonly lane: number;
  readonly laps: number;
  readonly score: number | null;
  readonly finished: boolean;
  readonly fastestUs: number | null;
  readonly lastLapEndRaceUs: number | null;
  readonly state: OutcomeState;
};

/** What an entry has come to in its race. */
export type RaceScore = {
  readonly score: number | null;
  /** Number of heats filled by the mean. */
  readonly missing: number;
  /** What decides the place: compared number by number, the smaller one is ahead, all equal is a tie. */
  readonly order: readonly number[];
};

/** What holds for all entries of a race. */
export type RaceTerms = Pick<Race, 'missing' | 'heatsPerEntry'> & {
  readonly kind: 'time' | 'laps';
  /** Number of started heats of the race that are not void. */
  readonly heats: number;
  /** The largest number of them that any entry has. */
  readonly mostHeats: number;
};

/** Entries of a race in this order, whatever their scores. */
const placed = 0;
const incomplete = 1;
const excludedFromRace = 2;

/** Where something is missing that would be better the smaller it is. */
const none = Number.POSITIVE_INFINITY;

/**
 * Scores an entry.
 *
 * @param adjust sum of the adjustments of the entry itself
 * @param excluded whether the entry is excluded from the race: placed last, all of them on one place, numbers as counted
 */
export function scoreEntry(terms: RaceTerms, heats: readonly OwnHeat[], adjust: number, excluded: boolean): RaceScore {
  const score = terms.kind === 'time' ? scoreByLaps(terms, heats, adjust) : scoreByTime(terms, heats, adjust);
  return excluded ? { ...score, order: [excludedFromRace] } : score;
}

/** The fastest lap of some heats, or null. */
export function fastestOf(heats: readonly OwnHeat[]): number | null {
  const fastest = Math.min(...heats.map(({ fastestUs }) => fastestUs ?? none));
  return fastest === none ? null : fastest;
}

/**
 * A *time* race: the sum of heat scores and adjustments; with `mean` each heat that the entry lacks adds the mean of
 * its own. Ties: in a race of one heat the smaller race time at the end of the last counted lap; otherwise the best
 * single heat, the next best and so on, a missing heat as 0; then the fastest lap.
 */
function scoreByLaps(terms: RaceTerms, heats: readonly OwnHeat[], adjust: number): RaceScore {
  const scores = heats.map(({ score }) => score ?? 0);
  const own = sum(scores);
  const lacking = terms.missing === 'mean' && heats.length > 0 ? (terms.heatsPerEntry ?? 0) - heats.length : 0;
  const missing = Math.max(0, lacking);
  const score = Math.max(0, own + missing * Math.floor(own / Math.max(1, heats.length)) + adjust);
  const ties =
    terms.heats === 1
      ? [heats[0]?.lastLapEndRaceUs ?? none]
      : filled(
          scores.sort((a, b) => b - a),
          terms.mostHeats,
          0,
        ).map((single) => -single);
  return { score, missing, order: [placed, -score, ...ties, fastestOf(heats) ?? none] };
}

/**
 * A *laps* race: the sum of heat scores and adjustments, for an entry that finished all its heats (at least one).
 * Ties: best single heat, next best, fastest lap. The others follow by number of finished heats, laps in all heats,
 * the sum of the finished scores, the fastest lap.
 */
function scoreByTime(terms: RaceTerms, heats: readonly OwnHeat[], adjust: number): RaceScore {
  const scores = heats.flatMap(({ score }) => (score === null ? [] : [score]));
  const own = sum(scores);
  const fastest = fastestOf(heats) ?? none;
  if (scores.length === 0 || scores.length < (terms.heatsPerEntry ?? terms.mostHeats)) {
    const laps = sum(heats.map((heat) => heat.laps));
    return { score: null, missing: 0, order: [incomplete, -scores.length, -laps, own, fastest] };
  }
  const score = Math.max(0, own + adjust);
  const ties = filled(
    scores.sort((a, b) => a - b),
    terms.mostHeats,
    none,
  );
  return { score, missing: 0, order: [placed, score, ...ties, fastest] };
}

/** Compares two orders: negative when the first is ahead, 0 on a tie. */
export function compareOrders(a: readonly number[], b: readonly number[]): number {
  for (let i = 0; i < Math.min(a.length, b.length); i++) {
    const [one, other] = [a[i] as number, b[i] as number];
    if (one !== other) return one < other ? -1 : 1;
  }
  return 0;
}

function filled(values: readonly number[], length: number, filler: number): number[] {
  return Array.from({ length: Math.max(length, values.length) }, (_, i) => values[i] ?? filler);
}

function sum(values: readonly number[]): number {
  return values.reduce((total, value) => total + value, 0);
}
