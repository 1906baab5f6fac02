import type { Crossing } from './facts.ts';
import type { HeatState } from './fold.ts';
import type { LaneState } from './lane.ts';
import type { Lap } from './laps.ts';
import { RunningMedian } from './running-median.ts';
import { silentLanes } from './silent.ts';

/** What looks wrong in a heat and which ruling would mend it. Warnings never change a count. */
export type Warning = LapWarning | JumpWarning | { readonly kind: 'silent'; readonly lane: number };

/** A lap that looks like two or three (a crossing was missed), or too short (a crossing too many). */
export type LapWarning =
  | {
      readonly kind: 'missed';
      readonly lane: number;
      readonly n: number;
      /** What to judge the crossing that closes the lap. */
      readonly judge: 2 | 3;
      readonly crossing: Crossing;
      /** `weak`: it may as well have been a deslot. */
      readonly strength: 'strong' | 'weak';
    }
  | {
      readonly kind: 'extra';
      readonly lane: number;
      readonly n: number;
      readonly judge: 0;
      readonly crossing: Crossing;
    };

/** A crossing that fits where the neighbour lane misses one: the car was put back into the wrong slot. */
export type JumpWarning = {
  readonly kind: 'jumped';
  readonly from: number;
  readonly to: number;
  readonly crossing: Crossing;
};

/** A deslot that somebody noted: kept beside the facts. */
export type Deslot = { readonly lane: number; readonly atUs: number };

/** A crossing at most so far from the instant at which one was due may be the one missed. */
const jumpWithinUs = 1_000_000;

/**
 * The warnings of a heat: by lane and lap the missed and the extra crossings, then by missed lap the jumped slots,
 * then the silent lanes. The limits follow common practice in the hobby, without a published source.
 *
 * @param untilUs what is known up to: now, or the latest instant of the log
 */
export function heatWarnings(state: HeatState, untilUs: number, deslots: readonly Deslot[] = []): Warning[] {
  const byLane = state.lanes.map((lane) => lapWarnings(lane, deslots));
  return [
    ...byLane.flat().map(({ warning }) => warning),
    ...jumpedSlots(state.lanes, byLane),
    ...silentLanes(state, untilUs).map((lane) => ({ kind: 'silent' as const, lane })),
  ];
}

type Suspect = { readonly warning: LapWarning; readonly lap: Lap };

function lapWarnings({ rules, laps }: LaneState, deslots: readonly Deslot[]): Suspect[] {
  const median = new RunningMedian();
  const suspects: Suspect[] = [];
  for (const lap of laps) {
    const twiceMedianUs = median.twice;
    const comparable = !lap.flags.includes('interrupted') && !lap.flags.includes('ruled');
    if (twiceMedianUs !== null && comparable && lap.closing.atUs <= rules.clock.endUs) {
      const warning = lapWarning(rules.lane, lap, twiceMedianUs, deslots);
      if (warning !== null) suspects.push({ warning, lap });
    }
    if (lap.flags.length === 0) median.add(lap.durationUs);
  }
  return suspects;
}

/** Compares a lap with the median, in integers: 20 d is over t m2 when d is over t tenths of the median m2 / 2. */
function lapWarning(lane: number, lap: Lap, twiceMedianUs: number, deslots: readonly Deslot[]): LapWarning | null {
  const { n, durationUs, closing: crossing } = lap;
  const isOver = (tenths: number) => 20 * durationUs > tenths * twiceMedianUs;
  if (20 * durationUs < 7 * twiceMedianUs) return { kind: 'extra', lane, n, judge: 0, crossing };
  const judge = isOver(18) && !isOver(24) ? 2 : isOver(27) && !isOver(34) ? 3 : null;
  if (judge === null) return null;
  const deslotted = deslots.some((deslot) => deslot.lane === lane && isWithin(lap, deslot.atUs));
  // Within 3 % of so many medians.
  const close = 100 * Math.abs(2 * durationUs - judge * twiceMedianUs) <= 3 * judge * twiceMedianUs;
  return { kind: 'missed', lane, n, judge, crossing, strength: close && !deslotted ? 'strong' : 'weak' };
}

function isWithin({ opening, closing }: Lap, atUs: number): boolean {
  return (opening === null || atUs > opening.atUs) && atUs <= closing.atUs;
}

/** Bounces and extra crossings of the neighbour lanes that came when the missed crossing of a lap was due. */
function jumpedSlots(lanes: readonly LaneState[], byLane: readonly (readonly Suspect[])[]): JumpWarning[] {
  const strays = new Map(lanes.map((lane, i) => [lane.rules.lane, strayCrossings(lane, byLane[i] ?? [])]));
  return byLane.flat().flatMap(({ warning, lap }) => {
    if (warning.kind !== 'missed') return [];
    const { lane: to, judge } = warning;
    return [to - 1, to + 1].flatMap((from) =>
      (strays.get(from) ?? [])
        .filter((crossing) => wasDue(lap, judge, crossing))
        .map((crossing) => ({ kind: 'jumped' as const, from, to, crossing })),
    );
  });
}

function strayCrossings({ crossings }: LaneState, suspects: readonly Suspect[]): Crossing[] {
  const extra = new Set(suspects.flatMap(({ warning }) => (warning.kind === 'extra' ? [warning.crossing] : [])));
  return crossings
    .toArray()
    .filter(({ crossing, verdict }) => verdict === 'bounce' || extra.has(crossing))
    .map(({ crossing }) => crossing);
}

/** Whether a crossing lies within a second of one of the instants that would cut the lap into so many equal parts. */
function wasDue({ opening, durationUs }: Lap, parts: 2 | 3, crossing: Crossing): boolean {
  if (opening === null) return false;
  const sinceUs = crossing.atUs - opening.atUs;
  for (let i = 1; i < parts; i++) {
    if (Math.abs(parts * sinceUs - i * durationUs) <= parts * jumpWithinUs) return true;
  }
  return false;
}
