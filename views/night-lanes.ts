import type { MeetingNow } from '../server/night/meeting-now.ts';
import { defaultLook, type LaneLook } from './components/lane-defaults.ts';
import { laneLook } from './lane-look.ts';

/** How a lane of the meeting's track looks; a lane that the track has no longer looks as a new one would. */
export function lookOf(now: Pick<MeetingNow, 'lanes'>, number: number): LaneLook {
  const lane = now.lanes.find((one) => one.number === number);
  return lane ? laneLook(lane) : defaultLook(number);
}
