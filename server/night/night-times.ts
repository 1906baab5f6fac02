import type { HeatState } from '../heats/fold.ts';
import { isStarted } from '../heats/phase.ts';
import { raceTimeLimitUs } from '../heats/plan.ts';
import { never } from '../heats/race-clock.ts';
import { heatOnTrack, heatsToCome, type MeetingNow } from './meeting-now.ts';
import { lapsOf, lowerMedian } from './own-pace.ts';

/** From the end of a heat to the next start, as long as the night has not shown its own (common practice, no source). */
const usualChangeoverUs = 120_000_000;
/** Length of a heat that nothing tells the length of (common practice, no source). */
const usualHeatUs = 180_000_000;

/**
 * When the heats to come will probably start, on the server's scale in microseconds, by the real pace of the evening:
 * the median of tonight's changeovers and of the race's heats. Empty until the first heat was armed: nobody knows when
 * a night begins.
 */
export function expectedStarts(now: MeetingNow): Map<string, number> {
  const starts = new Map<string, number>();
  const run = [...now.heats.values()].filter(isStarted).sort((a, b) => a.clock.startUs - b.clock.startUs);
  const current = heatOnTrack(now);
  if (run.length === 0 && current === null) return starts;
  const changeoverUs = lowerMedian(changeovers(run)) ?? usualChangeoverUs;
  let freeUs = run.reduce((latest, { clock }) => (clock.endUs === never ? latest : Math.max(latest, clock.endUs)), 0);
  const onTrack = current && now.heats.get(current.id);
  if (onTrack) {
    const startUs = isStarted(onTrack) ? onTrack.clock.startUs : Math.max(now.nowUs, freeUs + changeoverUs);
    if (!isStarted(onTrack)) starts.set(onTrack.plan.heat, startUs);
    const endUs = onTrack.clock.endUs;
    freeUs = endUs === never ? Math.max(now.nowUs, startUs + heatLengthUs(now, run, onTrack)) : endUs;
  }
  for (const { id } of heatsToCome(now)) {
    const state = now.heats.get(id);
    const startUs = Math.max(now.nowUs, freeUs + changeoverUs);
    starts.set(id, startUs);
    freeUs = startUs + (state ? heatLengthUs(now, run, state) : usualHeatUs);
  }
  return starts;
}

/** From each end to the next start. */
function changeovers(run: readonly HeatState[]): number[] {
  return run.slice(1).flatMap(({ clock: { startUs } }, i) => {
    const endUs = run[i]?.clock.endUs ?? never;
    return endUs <= startUs ? [startUs - endUs] : [];
  });
}

/** How long a heat will take with its track calls: the median of its race's heats so far, else what is laid down. */
function heatLengthUs(now: MeetingNow, run: readonly HeatState[], { plan }: HeatState): number {
  const over = run.filter(({ clock, plan: { race } }) => race === plan.race && clock.endUs <= now.nowUs);
  const median = lowerMedian(over.map(({ clock }) => clock.endUs - clock.startUs));
  return median ?? raceTimeLimitUs(plan.format) ?? lapsTakeUs(run, plan) ?? usualHeatUs;
}

/** A heat over laps without a limit: so many laps of the night's median. */
function lapsTakeUs(run: readonly HeatState[], { format }: HeatState['plan']): number | null {
  const goal = format.kind === 'laps' ? format.laps : format.firstTo;
  const laps = run.flatMap((state) => state.lanes.flatMap(({ rules }) => lapsOf(state, rules.entry ?? '')));
  const median = lowerMedian(laps.map(({ durationUs }) => durationUs));
  return goal === null || median === null ? null : goal * median;
}
