import type { HeatState } from '../heats/fold.ts';
import type { Lap } from '../heats/laps.ts';
import type { MeetingNow } from './meeting-now.ts';

/** Fewer laps say nothing about how fast somebody is (common practice, no source). */
const leastLaps = 3;

/** The middle value; of an even number the lower one of the two in the middle, so that it is a lap that was driven. */
export function lowerMedian(values: readonly number[]): number | null {
  const sorted = [...values].sort((a, b) => a - b);
  return sorted[(sorted.length - 1) >> 1] ?? null;
}

/** The laps that an entry has driven in a heat. */
export function lapsOf(state: HeatState, entryId: string): readonly Lap[] {
  return state.lanes.find(({ rules }) => rules.entry === entryId)?.laps.toArray() ?? [];
}

/** The median of an entry's clean laps in all heats of the night; null before there are three. */
export function ownPaceUs(now: MeetingNow, entryId: string): number | null {
  const clean: number[] = [];
  for (const state of now.heats.values()) {
    for (const { durationUs, flags } of lapsOf(state, entryId)) if (flags.length === 0) clean.push(durationUs);
  }
  return clean.length < leastLaps ? null : lowerMedian(clean);
}
