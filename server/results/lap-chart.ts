import type { HeatState } from '../heats/fold.ts';
import type { HeatResultRow } from './heat-result.ts';
import type { RaceRow } from './standing.ts';

/** Places of one entry, step by step: after each lap of a heat, or after each heat of a race. */
export type PlaceLine = {
  readonly entry: string;
  /** Place after step 1, 2, …; the line ends with the entry's last step. */
  readonly places: readonly number[];
};

/**
 * Place after each lap: whoever completed lap n earlier in race time is ahead after lap n, and an entry is compared
 * only with those who completed that lap too. Two at the same instant stand in the order of the result.
 *
 * @param result of the heat; its order is the order of the lines. A lane that was counted by hand has no laps
 */
export function lapChart(state: HeatState, result: readonly HeatResultRow[]): PlaceLine[] {
  const laps = new Map(state.lanes.map(({ rules, laps }) => [rules.lane, laps.toArray()]));
  const ends = result.map(({ lane, byHand }) => (byHand ? [] : (laps.get(lane) ?? []).map((lap) => lap.endRaceUs)));
  return placesByStep(
    result.map(({ entry }) => entry),
    ends.map((endRaceUs) => endRaceUs.map((us) => [us])),
  );
}

/**
 * Place in the race after each heat that an entry ran: after its k-th heat it is compared, by the sum of its first k
 * heats, with everybody who ran k. So all have run equally many heats at each step, whatever the order of the night.
 * In a *laps* race those who finished more of their heats are ahead, then those with more laps, as in the standing.
 *
 * @param rows of the standing; its order decides between equals. Entries excluded from the race are left out
 */
export function raceChart(rows: readonly RaceRow[], kind: 'time' | 'laps'): PlaceLine[] {
  const shown = rows.filter(({ excluded }) => !excluded);
  const sums = shown.map(({ heats }) => {
    let [unfinished, laps, sum] = [0, 0, 0];
    return heats.map((heat) => {
      laps += heat.laps;
      if (heat.score === null) unfinished++;
      else sum += heat.score;
      if (kind === 'time') return [-sum];
      return [unfinished, unfinished > 0 ? -laps : 0, sum];
    });
  });
  return placesByStep(
    shown.map(({ entry }) => entry),
    sums,
  );
}

/** @param steps of each entry: what it has come to after each of its steps; compared number by number, less is ahead */
function placesByStep(entries: readonly string[], steps: readonly (readonly (readonly number[])[])[]): PlaceLine[] {
  return entries.map((entry, i) => {
    const own = steps[i] ?? [];
    const places = own.map((value, step) => {
      const ahead = steps.filter((other, j) => {
        const theirs = other[step];
        if (theirs === undefined || j === i) return false;
        const order = compare(theirs, value);
        return order < 0 || (order === 0 && j < i);
      });
      return ahead.length + 1;
    });
    return { entry, places };
  });
}

function compare(a: readonly number[], b: readonly number[]): number {
  const i = a.findIndex((value, at) => value !== b[at]);
  return i < 0 ? 0 : (a[i] as number) - (b[i] as number);
}
