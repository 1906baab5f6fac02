import type { OwnHeat } from './race-score.ts';
import type { RaceRow } from './standing.ts';

/** What an entry did on each lane of its race. */
export type LaneTableRow = {
  readonly entry: string;
  readonly nickname: string;
  /** Its heats on each of the lanes, in their order; none where it has not driven. */
  readonly lanes: readonly (readonly OwnHeat[])[];
};

/** The fastest lap that counts as one on a lane. */
export type LaneRecord = {
  readonly lane: number;
  readonly entry: string;
  readonly nickname: string;
  readonly heat: string;
  readonly fastestUs: number;
};

/** @param lanes numbers of the lanes wanted, in their order */
export function laneTable(rows: readonly RaceRow[], lanes: readonly number[]): LaneTableRow[] {
  return rows
    .filter(({ heats }) => heats.length > 0)
    .map(({ entry, nickname, heats }) => ({
      entry,
      nickname,
      lanes: lanes.map((lane) => heats.filter((heat) => heat.lane === lane)),
    }));
}

/**
 * The fastest lap on each lane; on equal times the entry that is ahead in the standing. Entries that are excluded from
 * the race have none, lanes without one are left out.
 */
export function laneRecords(rows: readonly RaceRow[], lanes: readonly number[]): LaneRecord[] {
  return lanes.flatMap((lane) => {
    let record: LaneRecord | null = null;
    for (const { entry, nickname, heats, excluded } of rows) {
      for (const heat of heats) {
        if (excluded || heat.lane !== lane || heat.fastestUs === null) continue;
        if (record !== null && record.fastestUs <= heat.fastestUs) continue;
        record = { lane, entry, nickname, heat: heat.heat, fastestUs: heat.fastestUs };
      }
    }
    return record === null ? [] : [record];
  });
}
