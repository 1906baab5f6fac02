import type { ClockBitsOf, Crossing, Decision, HeatFacts, Ruling } from '../heats/facts.ts';
import { falseStarts } from '../heats/false-starts.ts';
import { foldHeat, type HeatState } from '../heats/fold.ts';
import type { LaneRules } from '../heats/lane-rules.ts';
import type { Lap } from '../heats/laps.ts';
import { crossingId } from '../heats/order.ts';
import type { HeatPlan } from '../heats/plan.ts';
import { heatWarnings } from '../heats/warnings.ts';
import type { SampleWords } from './club.ts';
import type { LineCrossing } from './sensor.ts';

/** What the director decides, and why. */
export type Verdict = { readonly decision: Decision; readonly why: string };

/** A heat that has ended, and what the director saw of it with their own eyes. */
export type SeenHeat = {
  readonly plan: HeatPlan;
  readonly facts: HeatFacts;
  readonly bitsOf: ClockBitsOf;
  /** What is known up to, in microseconds. */
  readonly untilUs: number;
  /** Cars that the sensor did not see. */
  readonly missed: readonly LineCrossing[];
  /** A car in its neighbour's slot, on the lane where it was counted. */
  readonly strayed: LineCrossing | null;
};

/**
 * What a careful director rules: false starts stand, a car in the wrong slot is counted for its own lane, and a lap during
 * which the sensor missed the car is judged double.
 */
export function rulingsOn(seen: SeenHeat, whys: SampleWords['whys']): Verdict[] {
  const verdicts: Verdict[] = [];
  for (;;) {
    const next = nextRuling(seen, foldWith(seen, verdicts), whys);
    if (next === null) return verdicts;
    verdicts.push(next);
  }
}

/** A slow lap, most likely a deslot, that looks as if a crossing had been missed; null where there is none. */
export function deslotTakenForMiss(seen: SeenHeat): Decision | null {
  const state = foldWith(seen, []);
  for (const warning of heatWarnings(state, seen.untilUs)) {
    if (warning.kind !== 'missed') continue;
    const lane = state.lanes.find(({ rules }) => rules.lane === warning.lane);
    const lap = lane?.laps.at(warning.n - 1);
    if (lane && lap && missedWithin(seen, lane.rules, lap) === 0) return judged(warning.crossing, warning.judge);
  }
  return null;
}

function foldWith({ plan, facts, bitsOf, untilUs }: SeenHeat, verdicts: readonly Verdict[]): HeatState {
  const rulings = verdicts.map(
    ({ decision, why }, i): Ruling => ({ ...decision, why, n: i + 1, by: '', atUs: untilUs }),
  );
  return foldHeat(plan, { ...facts, rulings }, bitsOf);
}

function nextRuling(seen: SeenHeat, state: HeatState, whys: SampleWords['whys']): Verdict | null {
  const { judged: done, moved } = state.standing;
  for (const { crossing } of falseStarts(state)) {
    if (!done.has(crossingId(crossing))) return { decision: judged(crossing, 1), why: whys.standsEarly };
  }
  for (const warning of heatWarnings(state, seen.untilUs)) {
    if (warning.kind !== 'jumped' || moved.has(crossingId(warning.crossing))) continue;
    if (seen.strayed === null || !isOf(warning.crossing, seen.strayed)) continue;
    return { decision: { kind: 'move', target: keyOf(warning.crossing), value: warning.to }, why: whys.jumped };
  }
  for (const { rules, laps } of state.lanes) {
    for (const lap of laps) {
      const missed = missedWithin(seen, rules, lap);
      if (missed === 0 || done.has(crossingId(lap.closing))) continue;
      return { decision: judged(lap.closing, 1 + missed), why: whys.missed };
    }
  }
  return null;
}

/** How often the car went over the line unseen during what was counted as one lap. */
function missedWithin({ missed }: SeenHeat, { lane, startUs }: LaneRules, { opening, closing }: Lap): number {
  const fromUs = opening?.atUs ?? startUs;
  return missed.filter((car) => car.lane === lane && car.atUs > fromUs && car.atUs < closing.atUs).length;
}

/** Whether a sensor's report is of this car: the network makes it look a little late. */
function isOf(crossing: Crossing, car: LineCrossing): boolean {
  return crossing.lane === car.lane && Math.abs(crossing.atUs - car.atUs) < 1_000;
}

function judged(crossing: Crossing, value: number): Decision {
  return { kind: 'judge', target: keyOf(crossing), value };
}

function keyOf({ device, boot, seq }: Crossing) {
  return { device, boot, seq };
}
