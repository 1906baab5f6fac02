import type { Crossing, Verdict } from './facts.ts';
import type { LaneRules } from './lane-rules.ts';
import { holdAt } from './race-clock.ts';

/** What the crossings before this one on its lane have come to. */
export type LaneSoFar = {
  readonly lapCount: number;
  /** Whether a crossing has counted on this lane. */
  readonly opened: boolean;
  /** Duration of the lap that the crossing would complete; null where it would complete none. */
  readonly lapUs: number | null;
};

/**
 * The verdict on a crossing: the first rule that fits.
 *
 * @param judged the value of the standing `judge` that names the crossing, or null
 */
export function verdictOn(rules: LaneRules, soFar: LaneSoFar, crossing: Crossing, judged: number | null): Verdict {
  // It reached the server after the heat was confirmed, and no standing `judge` admits it.
  if (crossing.late && judged === null) return 'late';
  if (rules.entry === null) return 'idle';
  if (judged === 0) return 'ruled out';

  const beforeStart = crossing.atUs < rules.startUs;
  // A lap cannot end before its lane starts: where cars start in their first lap, a judgement does not help here.
  if (judged !== null && (!beforeStart || rules.start === 'ahead')) return 'counts';
  if (beforeStart) return 'early';
  if (isPowerOff(rules, crossing.atUs)) return 'power off';
  if (isDone(rules, soFar, crossing.atUs)) return 'done';
  if (isBounce(rules, soFar)) return 'bounce';
  return 'counts';
}

/** Later than the roll after the beginning of the hold it lies in, or than the roll after the end. */
function isPowerOff(rules: LaneRules, atUs: number): boolean {
  const hold = holdAt(rules.clock, atUs);
  return (hold !== null && atUs > hold.fromUs + rules.holdRollUs) || atUs > rules.clock.endUs + rules.endRollUs;
}

/** The lane has all its laps, or was retired at or before this instant. */
function isDone(rules: LaneRules, soFar: LaneSoFar, atUs: number): boolean {
  return (rules.goal !== null && soFar.lapCount >= rules.goal) || atUs >= rules.retiredAtUs;
}

/** The lap would be shorter than the lane's shortest possible lap; under carry the first lap may be however short. */
function isBounce(rules: LaneRules, soFar: LaneSoFar): boolean {
  if (soFar.lapUs === null || (rules.start === 'carry' && !soFar.opened)) return false;
  return soFar.lapUs < rules.minLapUs;
}
