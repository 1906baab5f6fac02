import type { RaceStanding } from './standing.ts';

/**
 * The results of races as JSON, without white space and without a line end: an array of races, in the order given,
 * with their rows by place and each row's heats by ordinal. The same results always give the same bytes.
 */
export function resultsJson(races: readonly RaceStanding[]): string {
  return JSON.stringify(races.map(resultsForm));
}

/** One race in the form of the results JSON: the names of its keys, in their order. */
function resultsForm({ race, provisional, rows }: RaceStanding) {
  return {
    race,
    provisional,
    rows: rows.map((row) => ({
      place: row.place,
      entry: row.entry,
      nickname: row.nickname,
      score: row.score,
      laps: row.laps,
      fastest_us: row.fastestUs,
      missing: row.missing,
      excluded: row.excluded,
      heats: row.heats.map((heat) => ({
        heat: heat.heat,
        lane: heat.lane,
        laps: heat.laps,
        score: heat.score,
        fastest_us: heat.fastestUs,
        state: heat.state,
      })),
    })),
  };
}
