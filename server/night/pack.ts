import type { HeatState } from '../heats/fold.ts';
import type { LaneState } from '../heats/lane.ts';
import { type LaneSummary, laneSummary } from '../heats/lane-summary.ts';
import { never, raceTimeAt } from '../heats/race-clock.ts';
import type { Entry } from '../meetings/store.ts';
import { type MeetingNow, standingOf } from './meeting-now.ts';
import { lowerMedian, ownPaceUs } from './own-pace.ts';

/** One lane of the heat that everybody looks at, in the order of the race so far. */
export type PackLane = {
  lane: number;
  entry: Entry;
  /** Place in the heat so far, from 1; null before anything has counted on the lane. */
  place: number | null;
  summary: LaneSummary;
  /** Laps behind the leader in laps of the leader's pace; 0 for the leader, null when it cannot be told. */
  gapLaps: number | null;
  /** The last lap less the median of the driver's clean laps tonight, in microseconds. */
  deltaUs: number | null;
  /** Place in the race, with this heat as it stands; null in a race of one heat. */
  racePlace: number | null;
  /** When this lane starts, where that is later than the heat's start and still to come. */
  startsAtUs: number | null;
};

/** The lanes of a heat that somebody drives on, leader first. */
export function packOf(now: MeetingNow, state: HeatState): PackLane[] {
  const lanes = state.lanes
    .map((lane) => ({ lane, summary: laneSummary(state, lane), entry: now.entries.get(lane.rules.entry ?? '') }))
    .filter((line): line is Line => line.entry !== undefined)
    .sort((a, b) => compareLines(state, a, b));
  const [leader] = lanes;
  const racePlaces = placesInRace(now, state);
  return lanes.map(({ lane, summary, entry }, i) => ({
    lane: summary.lane,
    entry,
    place: hasBegun(lane, summary) ? i + 1 : null,
    summary,
    gapLaps: leader && hasBegun(leader.lane, leader.summary) ? gapLaps(state, leader.lane, lane, now.nowUs) : null,
    deltaUs: deltaUs(now, lane, entry.id),
    racePlace: racePlaces.get(entry.id) ?? null,
    startsAtUs: startsLater(state, lane, now.nowUs),
  }));
}

type Line = { lane: LaneState; summary: LaneSummary; entry: Entry };

function hasBegun(lane: LaneState, { laps }: LaneSummary): boolean {
  return laps > 0 || lane.opening !== null;
}

/** Who is ahead: the better score; on equal scores who completed the last lap, or passed the line first, earlier. */
function compareLines({ plan }: HeatState, a: Line, b: Line): number {
  const excluded = Number(a.summary.excluded) - Number(b.summary.excluded);
  if (excluded !== 0) return excluded;
  const [one, other] = [a.summary.score, b.summary.score];
  const score =
    plan.format.kind === 'time'
      ? (other ?? 0) - (one ?? 0)
      : compareNullsLast(one, other) || b.summary.laps - a.summary.laps;
  return score || compareNullsLast(lastPassUs(a.lane), lastPassUs(b.lane)) || a.summary.lane - b.summary.lane;
}

function compareNullsLast(one: number | null, other: number | null): number {
  if (one === null || other === null) return Number(one === null) - Number(other === null);
  return one - other;
}

/** Race time at the end of the last lap, or when the first one was opened. */
function lastPassUs(lane: LaneState): number | null {
  return passUs(lane, lane.laps.length);
}

/** Race time at which a lane had so many laps; null when that is not known. */
function passUs({ laps, opening, rules }: LaneState, count: number): number | null {
  if (count > 0) return laps.at(count - 1)?.endRaceUs ?? null;
  if (rules.clock.startUs === never) return null;
  const opened = laps.at(0)?.opening ?? (laps.length === 0 ? opening : null);
  if (opened) return raceTimeAt(rules.clock, opened.atUs);
  return rules.start === 'ahead' ? null : rules.delayMs * 1000;
}

/**
 * How far a lane is behind the leader: the time between the two at the same number of laps, or, if that is more, the
 * time since the leader completed a lap that this one has not; in laps of the leader's median.
 */
function gapLaps(state: HeatState, leader: LaneState, lane: LaneState, nowUs: number): number | null {
  if (lane === leader) return 0;
  const paceUs = lowerMedian(leader.laps.toArray().map(({ durationUs }) => durationUs));
  if (paceUs === null || paceUs === 0) return null;
  const done = Math.min(lane.laps.length, leader.laps.length);
  const own = passUs(lane, done);
  const first = passUs(leader, done);
  const atLast = own !== null && first !== null ? own - first : null;
  const missed = passUs(leader, lane.laps.length + 1);
  const sinceMissed = missed === null ? null : raceTimeAt(state.clock, Math.min(nowUs, state.clock.endUs)) - missed;
  if (atLast === null && sinceMissed === null) return null;
  const behind = Math.max(atLast ?? Number.NEGATIVE_INFINITY, sinceMissed ?? Number.NEGATIVE_INFINITY) / paceUs;
  return Math.max(0, behind + givenLaps(state, leader, paceUs) - givenLaps(state, lane, paceUs));
}

/** What was credited to a lane, or taken from it, in laps of a pace. */
function givenLaps({ plan, standing }: HeatState, { rules }: LaneState, paceUs: number): number {
  const adjust = standing.laneAdjust.get(rules.lane) ?? 0;
  return plan.format.kind === 'laps' ? (-1000 * adjust) / paceUs : adjust / 100;
}

function deltaUs(now: MeetingNow, lane: LaneState, entryId: string): number | null {
  const last = lane.laps.at(-1)?.durationUs;
  const pace = ownPaceUs(now, entryId);
  return last === undefined || pace === null ? null : last - pace;
}

function placesInRace(now: MeetingNow, { plan }: HeatState): Map<string, number> {
  const ofRace = now.programme.filter(({ raceId }) => raceId === plan.race);
  if (ofRace.length < 2) return new Map();
  return new Map(standingOf(now, plan.race)?.rows.map(({ entry, place }) => [entry, place]));
}

/** A handicap start that is still to come; before the heat is started nobody knows when. */
function startsLater({ clock }: HeatState, { rules }: LaneState, nowUs: number): number | null {
  const later = clock.startUs !== never && rules.startUs > clock.startUs && rules.startUs > nowUs;
  return later && rules.startUs !== never && nowUs < clock.endUs ? rules.startUs : null;
}
