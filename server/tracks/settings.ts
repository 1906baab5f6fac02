import type { TrackSettings } from '../../db/schema/meetings.ts';

/** A track as it is stored. */
type TrackRow = { startMode: string; holdRollUs: number; endRollUs: number };
type LaneRow = { number: number; lengthMm: number; minLapUs: number };

/** What a meeting keeps of the track it is held on. */
export function settingsOf(track: TrackRow, lanes: readonly LaneRow[]): TrackSettings {
  return {
    startMode: track.startMode as TrackSettings['startMode'],
    holdRollUs: track.holdRollUs,
    endRollUs: track.endRollUs,
    lanes: lanes.map(({ number, lengthMm, minLapUs }) => ({ lane: number, lengthMm, minLapUs })),
  };
}

/** Under this no car laps any track (common practice, no source). */
const leastMinLapUs = 500_000;

/**
 * A shortest lap to suggest for a lane: 0.7 of its best clean lap, whole milliseconds (common practice, no source).
 *
 * @param bestCleanUs shortest lap without a flag, in microseconds
 */
export function suggestedMinLapUs(bestCleanUs: number): number {
  return Math.max(leastMinLapUs, Math.floor((bestCleanUs * 7) / 10_000) * 1000);
}
