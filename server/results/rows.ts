import type { Meeting as MeetingRow, Race as RaceRow } from '../meetings/store.ts';
import type { HeatPlanRow } from '../rotation/store.ts';
import type { Heat, Race, Track } from './meeting-facts.ts';

/** Rows of the database in the form of the log. */

/** The track as it was on the night. */
export function trackOf({ trackName, trackSettings }: MeetingRow): Track {
  const { startMode, holdRollUs, endRollUs, lanes } = trackSettings;
  return { name: trackName, start: startMode, holdRollUs, endRollUs, lanes };
}

/** A race with its format. */
export function raceOf(row: RaceRow): Race {
  const format =
    row.format === 'laps'
      ? ({ kind: 'laps', laps: row.laps ?? 1, limitMs: row.limitMs } as const)
      : ({ kind: 'time', durationMs: row.durationMs, firstTo: row.firstTo } as const);
  return {
    id: row.id,
    name: row.name,
    carClass: row.className,
    format,
    minLapUs: row.minLapUs,
    missing: row.missing === 'mean' ? 'mean' : 'zero',
    standingFastest: row.standingFastest,
    heatsPerEntry: row.heatsPerEntry,
  };
}

/** A heat with the lanes that somebody drives on. */
export function heatOf({ id, raceId, ordinal, reruns, lanes, marshals }: HeatPlanRow): Heat {
  return {
    id,
    race: raceId,
    ordinal,
    reruns,
    marshals,
    lanes: lanes.map(({ lane, entryId, delayMs }) => ({ lane, entry: entryId, delayMs })),
  };
}
