import type { ClockBitsOf } from './facts.ts';
import { type HeatPlan, type LanePlan, lapGoal, type StartMode } from './plan.ts';
import { instantOf, never, type RaceClock } from './race-clock.ts';
import type { StandingRulings } from './standing-rulings.ts';

/** All that decides what a lane's crossings count for, apart from the crossings themselves. */
export type LaneRules = LanePlan & {
  readonly start: StartMode;
  readonly clock: RaceClock;
  readonly bitsOf: ClockBitsOf;
  readonly rulings: StandingRulings;
  /** The smallest instant at which the race time is the lane's delay, or `never`. */
  readonly startUs: number;
  /** From here on the lane races no more; `never` for a lane that is not retired. */
  readonly retiredAtUs: number;
  /** Laps beyond this number are not counted; null: there is no such number. */
  readonly goal: number | null;
  readonly holdRollUs: number;
  readonly endRollUs: number;
  /** Whether a lap without any flag but `standing` may be the fastest. */
  readonly standingFastest: boolean;
};

/** The rules of one lane of a heat under a clock and the standing rulings. */
export function laneRules(
  plan: HeatPlan,
  lane: LanePlan,
  clock: RaceClock,
  rulings: StandingRulings,
  bitsOf: ClockBitsOf,
): LaneRules {
  return {
    ...lane,
    start: plan.start,
    clock,
    bitsOf,
    rulings,
    startUs: instantOf(clock, lane.delayMs * 1000),
    retiredAtUs: rulings.retiredAtUs.get(lane.lane) ?? never,
    goal: lapGoal(plan.format),
    holdRollUs: plan.holdRollUs,
    endRollUs: plan.endRollUs,
    // Cars that stand where they stopped drive less than a lap: never a fastest lap under carry.
    standingFastest: plan.standingFastest && plan.start !== 'carry',
  };
}
