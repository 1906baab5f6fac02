import type { ClockBits, Crossing } from './facts.ts';
import type { LaneRules } from './lane-rules.ts';
import { heldBetween, raceTimeAt } from './race-clock.ts';

/** Why a lap is no clean one, in the order in which flags are listed. */
export type LapFlag =
  /** It began at the lane's start. */
  | 'standing'
  /** It lies between two crossings and is timed by the server's clock. */
  | 'mixed'
  /** Time in holds was taken off. */
  | 'interrupted'
  /** It is a part of several laps made of one. */
  | 'split'
  /** An end was judged or moved, or a crossing ruled out or moved away lies between its ends. */
  | 'ruled';

export type Lap = {
  /** From 1 in order. */
  readonly n: number;
  readonly durationUs: number;
  readonly flags: readonly LapFlag[];
  /** Race time at its end. */
  readonly endRaceUs: number;
  /** The crossing that opened it; null: it began at the lane's start. */
  readonly opening: Crossing | null;
  readonly closing: Crossing;
};

/** Duration of the way from one crossing, or from the lane's start, to another crossing. */
export type LapTiming = {
  readonly durationUs: number;
  /** What was taken off for holds between the ends. */
  readonly heldUs: number;
  /** Whether both ends were timed by one sensor clock. */
  readonly bySensor: boolean;
};

const wrapUs = 2 ** 32;

/** Difference on the sensor's own clock; null where the two are not on one clock, or where it ran backwards. */
function sensorDifference(from: Crossing, to: Crossing, bits: ClockBits): number | null {
  if (from.device !== to.device || from.boot !== to.boot) return null;
  const difference = to.tUs - from.tUs;
  if (bits === 32) return ((difference % wrapUs) + wrapUs) % wrapUs;
  return difference < 0 ? null : difference;
}

/**
 * Times a lap: by the sensor's clock when both ends come from one device and boot and the difference is not negative,
 * otherwise by the server's; less the holds between its ends (on the server's scale), and not below 0.
 *
 * @param opening null: the lap began at the lane's start
 */
export function timeLap(rules: LaneRules, opening: Crossing | null, closing: Crossing): LapTiming {
  const fromUs = opening?.atUs ?? rules.startUs;
  const heldUs = heldBetween(rules.clock, fromUs, closing.atUs);
  const sensorUs = opening === null ? null : sensorDifference(opening, closing, rules.bitsOf(closing.device));
  const wholeUs = sensorUs ?? closing.atUs - fromUs;
  return { durationUs: Math.max(0, wholeUs - heldUs), heldUs, bySensor: sensorUs !== null };
}

/** Flags of a lap, in their order; `parts` is the number of laps made of it. */
function flagsOf(opening: Crossing | null, timing: LapTiming, parts: number, ruled: boolean): readonly LapFlag[] {
  const flags: LapFlag[] = [];
  if (opening === null) flags.push('standing');
  else if (!timing.bySensor) flags.push('mixed');
  if (timing.heldUs > 0) flags.push('interrupted');
  if (parts > 1) flags.push('split');
  if (ruled) flags.push('ruled');
  return flags;
}

/** floor(whole x i / parts) without leaving the exact integers. */
function share(whole: number, i: number, parts: number): number {
  const quotient = Math.floor(whole / parts);
  return quotient * i + Math.floor(((whole - quotient * parts) * i) / parts);
}

/**
 * The laps that a counted crossing completes: one, or as many as it is judged. Of k parts of a duration d each has
 * floor(d / k), the last the remainder; part i ends at race time R0 + floor((R1 - R0) i / k). All parts carry all
 * flags of the whole.
 *
 * @param before number of laps before these
 * @param parts number of laps, at least 1; laps beyond the lane's goal are left out
 * @param ruled whether the flag `ruled` is due
 */
export function lapsCompleted(
  rules: LaneRules,
  before: number,
  opening: Crossing | null,
  closing: Crossing,
  timing: LapTiming,
  parts: number,
  ruled: boolean,
): Lap[] {
  const counted = rules.goal === null ? parts : Math.min(parts, rules.goal - before);
  const flags = flagsOf(opening, timing, parts, ruled);
  const openRaceUs = raceTimeAt(rules.clock, opening?.atUs ?? rules.startUs);
  const wholeRaceUs = raceTimeAt(rules.clock, closing.atUs) - openRaceUs;
  const partUs = Math.floor(timing.durationUs / parts);
  const laps: Lap[] = [];
  for (let i = 1; i <= counted; i++) {
    laps.push({
      n: before + i,
      durationUs: i < parts ? partUs : timing.durationUs - partUs * (parts - 1),
      flags,
      endRaceUs: openRaceUs + share(wholeRaceUs, i, parts),
      opening,
      closing,
    });
  }
  return laps;
}
