import { never } from '../heats/race-clock.ts';
import { heatOnTrack, lastHeatRun, type MeetingNow } from './meeting-now.ts';

/** While cars run, silence is noticed by looking again: lanes and sensors that say nothing ring no doorbell. */
const lookAgainUs = 2_000_000;

/**
 * The next instant at which what screens show changes by itself: a start, an end, the moment the track is free again,
 * a lane's delayed start. Null when nothing does.
 */
export function nextChangeUs(now: MeetingNow): number | null {
  const heat = heatOnTrack(now) ?? lastHeatRun(now);
  const state = heat && now.heats.get(heat.id);
  if (!state) return null;
  const { startUs, endUs } = state.clock;
  const instants = [startUs, endUs, endUs + state.plan.endRollUs, ...state.lanes.map(({ rules }) => rules.startUs)];
  const running = startUs !== never && now.nowUs < endUs;
  if (running) instants.push(now.nowUs + lookAgainUs);
  const coming = instants.filter((us) => us !== never && us > now.nowUs);
  return coming.length === 0 ? null : Math.min(...coming);
}
