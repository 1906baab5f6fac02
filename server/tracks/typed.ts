import { powerCutOf, type RollTimes } from './power.ts';
import { laneField } from './schemas.ts';
import type { NewLane } from './store.ts';

/** Seconds as somebody would type them: `2`, `2.5`. */
export const secondsText = (us: number) => String(us / 1_000_000);

/** The fields of a track's form with what they begin with. */
export function typedSettings(track: RollTimes & { name?: string; startMode: string }): Record<string, string> {
  const holdRoll = secondsText(track.holdRollUs);
  const endRoll = secondsText(track.endRollUs);
  return {
    name: track.name ?? '',
    startMode: track.startMode,
    power: powerCutOf(track),
    holdRoll,
    endRoll,
    shownHoldRoll: holdRoll,
    shownEndRoll: endRoll,
  };
}

/** The fields of its lanes. */
export function typedLanes(lanes: readonly NewLane[]): Record<string, string> {
  const typed: Record<string, string> = { lanes: String(lanes.length) };
  for (const lane of lanes) {
    typed[laneField('colour', lane.number)] = lane.colour;
    typed[laneField('pattern', lane.number)] = lane.pattern;
    typed[laneField('length', lane.number)] = String(lane.lengthMm / 1000);
    typed[laneField('minLap', lane.number)] = secondsText(lane.minLapUs);
  }
  return typed;
}
