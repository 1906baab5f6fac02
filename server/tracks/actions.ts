import type { Database } from '../../db/client.ts';
import type { TrackSettings } from '../../db/schema/meetings.ts';
import { newId } from '../accounts/tokens.ts';
import { ring } from '../live/notify.ts';
import { settingsOf } from './settings.ts';
import {
  bumpPlan,
  insertTrack,
  type NewLane,
  replaceLanes,
  selectOptionalTrackForUpdate,
  updateTrack,
  updateTrackArchived,
} from './store.ts';
import { selectOptionalHeatAbove, updateSnapshots } from './use-store.ts';

/** A track as somebody described it. */
export type TrackChange = {
  name: string;
  startMode: TrackSettings['startMode'];
  holdRollUs: number;
  endRollUs: number;
  /** Numbered from 1 without a gap. */
  lanes: readonly NewLane[];
};

/** @returns the new track's id */
export async function createTrack(db: Database, clubId: string, change: TrackChange): Promise<string> {
  const id = newId();
  const { lanes, ...settings } = change;
  await db.withClub(clubId, (tx) => insertTrack(tx, { clubId, id, ...settings }, lanes));
  return id;
}

/**
 * Changes a track and its lanes, and with them the settings of every meeting on it that has not begun.
 *
 * @returns what stands in the way when a lane that would go is still needed: nothing was changed then
 */
export async function changeTrack(
  db: Database,
  clubId: string,
  trackId: string,
  change: TrackChange,
): Promise<{ changed: true } | { changed: false; needed: { lane: number; meetingName: string } | null }> {
  return db.withClub(clubId, async (tx) => {
    // The track's lock first: no heat is drawn or started on it meanwhile.
    const track = await selectOptionalTrackForUpdate(tx, clubId, trackId);
    if (!track || track.imported) return { changed: false, needed: null } as const;
    const needed = await selectOptionalHeatAbove(tx, clubId, trackId, change.lanes.length);
    if (needed) return { changed: false, needed } as const;
    const { lanes, ...settings } = change;
    await updateTrack(tx, clubId, trackId, settings);
    await replaceLanes(tx, clubId, trackId, lanes);
    await updateSnapshots(tx, clubId, trackId, {
      trackName: settings.name,
      trackSettings: settingsOf(settings, lanes),
    });
    await bumpPlan(tx, clubId, trackId);
    await ring(tx, { clubId, trackId });
    return { changed: true } as const;
  });
}

/** Takes a track out of every list of choices, or puts it back. What was run on it stays. */
export async function archiveTrack(db: Database, clubId: string, trackId: string, archive: boolean): Promise<void> {
  await db.withClub(clubId, (tx) => updateTrackArchived(tx, clubId, trackId, archive));
}
