import type { LaneSummary } from '../heats/lane-summary.ts';
import { compareCodePoints } from '../heats/order.ts';
import type { HeatOutcome, OutcomeState } from './heat-outcome.ts';
import type { Entry, Race } from './meeting-facts.ts';
import { compareOrders, fastestOf, type OwnHeat, type RaceTerms, scoreEntry } from './race-score.ts';

/** An entry in the standing of its race. */
export type RaceRow = {
  /** Tied entries share a place and the next place is skipped: 1, 2, 2, 4. */
  readonly place: number;
  readonly entry: string;
  readonly nickname: string;
  /** Hundredths of a lap (*time*) or milliseconds (*laps*), at least 0; null: a *laps* race not complete. */
  readonly score: number | null;
  /** Sum of the laps of its heats. */
  readonly laps: number;
  readonly fastestUs: number | null;
  /** Number of heats filled by the mean. */
  readonly missing: number;
  readonly excluded: boolean;
  /** Started heats that are not void, by ordinal, then id. */
  readonly heats: readonly OwnHeat[];
};

export type RaceStanding = {
  readonly race: string;
  /** True until a heat that is not void is started and all such heats are confirmed. */
  readonly provisional: boolean;
  /** By place, then entry id. */
  readonly rows: readonly RaceRow[];
};

/** What the standing needs to know of a race. */
export type RaceSettings = Pick<Race, 'id' | 'format' | 'missing' | 'heatsPerEntry'>;

/**
 * The standing of a race: scores, places, ties.
 *
 * @param entries of this race
 * @param outcomes of all heats of this race, those that are void or not started too: rulings on entries stand in them
 * @param nicknameOf the nickname of a driver by id
 */
export function raceStanding(
  race: RaceSettings,
  entries: readonly Pick<Entry, 'id' | 'driver'>[],
  outcomes: readonly HeatOutcome[],
  nicknameOf: (driver: string) => string,
): RaceStanding {
  const counting = outcomes.filter(({ counts }) => counts).sort(byOrdinal);
  const heats = heatsByEntry(counting);
  const terms = raceTerms(race, entries, heats, counting.length);
  const scored = entries.map(({ id, driver }) => {
    const own = heats.get(id) ?? [];
    const adjust = outcomes.reduce((sum, { entryAdjust }) => sum + (entryAdjust.get(id) ?? 0), 0);
    const excluded = outcomes.some(({ excludedFromRace }) => excludedFromRace.has(id));
    const { score, missing, order } = scoreEntry(terms, own, adjust, excluded);
    const laps = own.reduce((sum, heat) => sum + heat.laps, 0);
    const fastestUs = excluded ? null : fastestOf(own);
    const nickname = nicknameOf(driver);
    return { order, row: { place: 0, entry: id, nickname, score, laps, fastestUs, missing, excluded, heats: own } };
  });
  scored.sort((a, b) => compareOrders(a.order, b.order) || compareCodePoints(a.row.entry, b.row.entry));
  let place = 0;
  const rows = scored.map(({ order, row }, i) => {
    const before = scored[i - 1];
    if (before === undefined || compareOrders(before.order, order) !== 0) place = i + 1;
    return { ...row, place };
  });
  const provisional = counting.length === 0 || counting.some(({ state }) => state !== 'confirmed');
  return { race: race.id, provisional, rows };
}

function byOrdinal(a: HeatOutcome, b: HeatOutcome): number {
  return a.ordinal - b.ordinal || compareCodePoints(a.heat, b.heat);
}

/** The heats of each entry, in the order of the outcomes. */
function heatsByEntry(outcomes: readonly HeatOutcome[]): Map<string, OwnHeat[]> {
  const heats = new Map<string, OwnHeat[]>();
  for (const { heat, state, lanes } of outcomes) {
    for (const lane of lanes) {
      if (lane.entry === null) continue;
      const own = heats.get(lane.entry) ?? [];
      own.push(ownHeat(heat, state, lane));
      heats.set(lane.entry, own);
    }
  }
  return heats;
}

function ownHeat(heat: string, state: OutcomeState, summary: LaneSummary): OwnHeat {
  const { lane, laps, score, finished, fastestUs, lastLapEndRaceUs } = summary;
  return { heat, lane, laps, score, finished, fastestUs, lastLapEndRaceUs, state };
}

function raceTerms(
  race: RaceSettings,
  entries: readonly Pick<Entry, 'id'>[],
  heats: ReadonlyMap<string, readonly OwnHeat[]>,
  countingHeats: number,
): RaceTerms {
  const mostHeats = entries.reduce((most, { id }) => Math.max(most, heats.get(id)?.length ?? 0), 0);
  const { missing, heatsPerEntry, format } = race;
  return { kind: format.kind, missing, heatsPerEntry, heats: countingHeats, mostHeats };
}
