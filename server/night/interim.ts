import { meanPerHeat } from '../results/equal-heats.ts';
import type { RaceRow, RaceStanding } from '../results/standing.ts';

/** A driver in a race that is not over. */
export type InterimRow = {
  /** Position on the list, from 1; those that the list cannot tell apart share one. Null before the first heat. */
  position: number | null;
  entry: string;
  nickname: string;
  /** Heats that count. */
  heats: number;
  /** Score of the race so far. */
  score: number | null;
  /** Mean of a heat in hundredths of a lap, cut; null in a race over laps or before the first heat. */
  meanScore: number | null;
  excluded: boolean;
};

export type Interim = {
  /** The fewest and the most heats that anybody on the list has run. */
  heats: { least: number; most: number };
  rows: InterimRow[];
};

/**
 * A race between two heats. While some have run more heats than others, a race for laps is listed by the mean of a
 * heat: sums would only show who drove more often. When all have run as many, or in a race over laps, it is the
 * standing itself. Those who have not driven stand last.
 */
export function interimOf(standing: RaceStanding, kind: 'time' | 'laps'): Interim {
  const driven = standing.rows.filter(({ heats }) => heats.length > 0);
  const counts = driven.map(({ heats }) => heats.length);
  const heats = { least: Math.min(...counts, Infinity), most: Math.max(...counts, 0) };
  if (driven.length === 0) heats.least = 0;
  const byMean = kind === 'time' && heats.least !== heats.most;
  const rows = standing.rows.map((row) => ({ row, mean: meanOf(row, kind) }));
  const key = ({ row, mean }: (typeof rows)[number]) => (byMean ? (row.excluded ? -2 : (mean ?? -1)) : -row.place);
  rows.sort((a, b) => key(b) - key(a));
  let position = 0;
  return {
    heats,
    rows: rows.map(({ row, mean }, i) => {
      const before = rows[i - 1];
      if (before === undefined || key(before) !== key({ row, mean })) position = i + 1;
      const { entry, nickname, score, excluded } = row;
      return {
        position: row.heats.length === 0 ? null : position,
        entry,
        nickname,
        heats: row.heats.length,
        score,
        meanScore: mean,
        excluded,
      };
    }),
  };
}

function meanOf(row: RaceRow, kind: 'time' | 'laps'): number | null {
  return kind === 'laps' ? null : meanPerHeat(row);
}
