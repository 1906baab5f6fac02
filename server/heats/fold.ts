import { endByClock, endOfHeat, endsByLaps } from './end-of-heat.ts';
import type { ClockBitsOf, Crossing, HeatEvent, HeatFacts, Ruling } from './facts.ts';
import { comesNext, foldLane, type LaneState, takeIn } from './lane.ts';
import { laneRules } from './lane-rules.ts';
import { byNumber, crossingId, inOrder } from './order.ts';
import type { HeatPlan } from './plan.ts';
import { never, type RaceClock, raceClock } from './race-clock.ts';
import { type StandingRulings, standingRulings } from './standing-rulings.ts';

/** A heat as counted from its facts. Never changed: more facts make another state. */
export type HeatState = {
  readonly plan: HeatPlan;
  readonly bitsOf: ClockBitsOf;
  /** By rising number. */
  readonly events: readonly HeatEvent[];
  readonly rulings: readonly Ruling[];
  readonly standing: StandingRulings;
  /** The heat's clock; `never` stands for a start or an end that is not known. */
  readonly clock: RaceClock;
  /** The clock as if nothing ended the heat, and the end that clock and events alone give: what ends are found on. */
  readonly endless: RaceClock;
  readonly byClockUs: number;
  /** In the order of the plan. */
  readonly lanes: readonly LaneState[];
};

/** Crossings by the lane they are treated as one of, and by the lane they were moved away from. */
type LaneCrossings = { readonly own: readonly Crossing[]; readonly movedAway: readonly Crossing[] };

/**
 * Counts a heat from its facts: verdicts, laps, the end. The same facts in any order give the same state. Facts are
 * taken as the log allows them: one content for each crossing key and each number, events that do not fall in time.
 * Crossings of lanes that the plan has not are left out.
 *
 * @param bitsOf the clock width of each device that the crossings name
 */
export function foldHeat(plan: HeatPlan, facts: HeatFacts, bitsOf: ClockBitsOf): HeatState {
  const events = byNumber(facts.events);
  const rulings = byNumber(facts.rulings);
  const standing = standingRulings(rulings);
  const endless = raceClock(events, never);
  const byClockUs = endByClock(plan, events, endless);
  const crossings = byLane(plan, standing, facts.crossings);
  return settle({ plan, bitsOf, events, rulings, standing, clock: endless, endless, byClockUs, lanes: [] }, crossings);
}

/**
 * The state with more facts; the same as folding all facts at once. A crossing that comes after all others of its lane
 * takes constant time. Any other crossing counts its lane anew; events, rulings and whatever moves the end of the heat
 * count the whole heat anew.
 */
export function extendHeat(state: HeatState, more: Partial<HeatFacts>): HeatState {
  const events = news(state.events, more.events);
  const rulings = news(state.rulings, more.rulings);
  const crossings = more.crossings ?? [];
  if (events.length > 0 || rulings.length > 0) {
    const facts = {
      events: [...state.events, ...events],
      rulings: [...state.rulings, ...rulings],
      crossings: [...crossingsOf(state), ...crossings],
    };
    return foldHeat(state.plan, facts, state.bitsOf);
  }
  if (crossings.length === 0) return state;

  const added = byLane(state.plan, state.standing, crossings);
  const lanes = state.lanes.map((lane, i) => extendLane(lane, added[i] as LaneCrossings));
  const endUs = endOfHeat(state.plan, state.byClockUs, state.clock, lanes);
  return endUs === state.clock.endUs ? { ...state, lanes } : settle(state, lanes.map(crossingsOfLane));
}

function news<T extends { readonly n: number }>(known: readonly T[], more: readonly T[] = []): readonly T[] {
  return more.filter(({ n }) => !known.some((fact) => fact.n === n));
}

/** Counts all lanes: first on the endless clock, where the end is found, then up to that end. */
function settle(state: HeatState, crossings: readonly LaneCrossings[]): HeatState {
  const { plan, endless, byClockUs } = state;
  const foldOn = (clock: RaceClock): LaneState[] =>
    plan.lanes.map((lane, i) => {
      const { own, movedAway } = crossings[i] as LaneCrossings;
      return foldLane(laneRules(plan, lane, clock, state.standing, state.bitsOf), own, movedAway);
    });
  const unended = endsByLaps(plan) ? foldOn(endless) : null;
  const endUs = unended === null ? byClockUs : endOfHeat(plan, byClockUs, endless, unended);
  if (unended !== null && endUs === never) return { ...state, clock: endless, lanes: unended };
  const clock = raceClock(state.events, endUs);
  return { ...state, clock, lanes: foldOn(clock) };
}

/** A lane with more crossings: taken in where they come after all others, otherwise counted anew. */
function extendLane(lane: LaneState, added: LaneCrossings): LaneState {
  const [first] = added.own;
  if (added.movedAway.length === 0) {
    if (first === undefined) return lane;
    if (comesNext(lane, first)) return added.own.reduce(takeIn, lane);
  }
  const { own, movedAway } = crossingsOfLane(lane);
  return foldLane(lane.rules, inOrder([...own, ...added.own]), inOrder([...movedAway, ...added.movedAway]));
}

/** Sorts crossings into the lanes of the plan, as the standing `move` rulings say. */
function byLane(plan: HeatPlan, standing: StandingRulings, crossings: readonly Crossing[]): LaneCrossings[] {
  const lanes = new Map(plan.lanes.map(({ lane }) => [lane, { own: [] as Crossing[], movedAway: [] as Crossing[] }]));
  for (const crossing of crossings) {
    const id = standing.moved.size === 0 ? '' : crossingId(crossing);
    const lane = standing.moved.get(id) ?? crossing.lane;
    lanes.get(lane)?.own.push(crossing);
    // A late crossing that no ruling admits is as good as not there: it leaves no gap where it came from.
    const isThere = !crossing.late || standing.judged.has(id);
    if (lane !== crossing.lane && isThere) lanes.get(crossing.lane)?.movedAway.push(crossing);
  }
  return [...lanes.values()].map(({ own, movedAway }) => ({ own: inOrder(own), movedAway: inOrder(movedAway) }));
}

function crossingsOfLane({ crossings, movedAway }: LaneState): LaneCrossings {
  return { own: crossings.toArray().map(({ crossing }) => crossing), movedAway };
}

function crossingsOf(state: HeatState): Crossing[] {
  return state.lanes.flatMap((lane) => crossingsOfLane(lane).own);
}
