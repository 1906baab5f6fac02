import type { Crossing, HeatEvent, Ruling } from '../heats/facts.ts';
import { falseStarts } from '../heats/false-starts.ts';
import type { HeatState } from '../heats/fold.ts';
import type { LaneState } from '../heats/lane.ts';
import { type LaneSummary, laneSummary } from '../heats/lane-summary.ts';
import { type HeatPhase, isVoid, shownClock } from '../heats/phase.ts';
import { raceTimeLimitUs } from '../heats/plan.ts';
import { rulingsThatStand } from '../heats/standing-rulings.ts';
import { heatWarnings, type Warning } from '../heats/warnings.ts';
import type { Entry } from '../meetings/store.ts';
import type { HeatPlanRow } from '../rotation/store.ts';
import { type HeatHandicap, heatHandicapOf, isSurprising } from './heat-handicap.ts';
import {
  heatOnTrack,
  heatsToCome,
  lastHeatRun,
  type MeetingNow,
  type NumberedHeat,
  numbered,
  phaseOf,
} from './meeting-now.ts';
import { lastPressedN } from './shown-event.ts';

/** One heat as the desk sees it. */
export type DeskHeat = NumberedHeat & {
  phase: HeatPhase;
  void: boolean;
  /** Number of the last event: what a press on this screen was made for. */
  seenN: number;
  clock: DeskClock | null;
  handicap: HeatHandicap | null;
  /** Won by far more than was to be expected; told to directors alone. */
  surprising: boolean;
  lanes: DeskLane[];
  notices: DeskNotice[];
  /** Events and rulings, newest first. */
  record: RecordLine[];
  /** Lanes whose part lap is still to be looked at; empty when none is asked for. */
  parts: DeskPart[];
  /** Whether the part laps were looked at. */
  finished: boolean;
};

/** The heat's clock as read at one instant; see `ClockBar`. */
export type DeskClock = {
  atUs: number;
  elapsedUs: number;
  leftUs: number | null;
  totalUs: number | null;
  running: boolean;
};

export type DeskLane = {
  lane: number;
  entry: Entry | null;
  summary: LaneSummary;
  /** Crossings since the heat was armed, of any verdict: a sign that the lane's sensor works. */
  heard: boolean;
  /** The lap under way cannot be timed: no crossing has counted yet. */
  bestUs: number | null;
};

/** Something the director should look at, with the ruling that would settle it. */
export type DeskNotice =
  | Exclude<Warning, { kind: 'silent' }>
  | { kind: 'silent'; lane: number }
  | { kind: 'false-start'; lane: number; crossing: Crossing }
  | { kind: 'power-off'; lane: number; crossing: Crossing; afterUs: number }
  | { kind: 'late'; lane: number; crossing: Crossing };

export type RecordLine = {
  fact: HeatEvent | Ruling;
  /** For a ruling: whether it still stands. */
  stands: boolean;
  /** For a ruling that can be undone now. */
  undoable: boolean;
};

/** A lane's part lap: what was entered, and what the clock suggests. */
export type DeskPart = { lane: number; entry: Entry; part: number | null; expected: number | null };

/** A crossing so soon after the power went off is shown with "count it". */
const powerOffShownUs = 10_000_000;

/** What race control shows: the heat on the track, or the one that ended last, and what comes. */
export type Desk = {
  current: DeskHeat | null;
  last: DeskHeat | null;
  toCome: PlannedHeat[];
};

/** A heat still to be run. */
export type PlannedHeat = NumberedHeat & {
  /** The number of the void heat it runs again, or null. */
  rerunOf: number | null;
  handicap: HeatHandicap | null;
  /** What a press to arm it was made for, as in `DeskHeat`. */
  seenN: number;
};

/** @param chances whether chances to win, and what surprises, are told: directors alone see them */
export function deskOf(now: MeetingNow, chances = false): Desk {
  const onTrack = heatOnTrack(now);
  const last = lastHeatRun(now);
  return {
    current: onTrack && deskHeat(now, onTrack, chances),
    last: last && last.id !== onTrack?.id ? deskHeat(now, last, chances) : null,
    toCome: heatsToCome(now).flatMap(({ id }) => plannedHeat(now, id, chances) ?? []),
  };
}

function plannedHeat(now: MeetingNow, heatId: string, chances: boolean): PlannedHeat | null {
  const place = numbered(now, heatId);
  if (!place) return null;
  const { reruns } = place.heat;
  const rerunOf = reruns === null ? null : (numbered(now, reruns)?.number ?? null);
  const handicap = heatHandicapOf(now, place.heat, chances);
  return { ...place, rerunOf, handicap, seenN: lastPressedN(now.heats.get(heatId)?.events ?? []) };
}

/** One heat of the meeting for the desk; null when it is not on the plan. */
export function deskHeatById(now: MeetingNow, heatId: string): DeskHeat | null {
  const heat = now.programme.find(({ id }) => id === heatId);
  return heat ? deskHeat(now, heat, false) : null;
}

function deskHeat(now: MeetingNow, heat: HeatPlanRow, chances: boolean): DeskHeat | null {
  const state = now.heats.get(heat.id);
  const place = numbered(now, heat.id);
  if (!state || !place) return null;
  return {
    ...place,
    phase: phaseOf(now, heat.id),
    void: isVoid(state),
    seenN: lastPressedN(state.events),
    clock: deskClock(state, now.nowUs),
    handicap: heatHandicapOf(now, heat, chances),
    surprising: chances && isSurprising(now, heat.id),
    lanes: state.lanes.map((lane) => deskLane(now, state, lane)),
    notices: noticesOf(state, now.nowUs),
    record: recordOf(state),
    parts: partsOf(now, heat, state),
    finished: state.events.some(({ kind, atUs }) => kind === 'finish' && atUs >= state.clock.endUs),
  };
}

/** The clock of a heat at an instant; null before its start was pressed. */
export function deskClock(state: HeatState, nowUs: number): DeskClock | null {
  const shown = shownClock(state, nowUs);
  if (shown === null) return null;
  // Before the start the clock counts down to it.
  if (shown.elapsedUs < 0) {
    return { atUs: nowUs, elapsedUs: 0, leftUs: -shown.elapsedUs, totalUs: null, running: true };
  }
  const limitUs = raceTimeLimitUs(state.plan.format);
  return {
    atUs: nowUs,
    elapsedUs: shown.elapsedUs,
    leftUs: shown.leftUs,
    totalUs: limitUs,
    running: shown.ticking,
  };
}

function deskLane(now: MeetingNow, state: HeatState, lane: LaneState): DeskLane {
  const { entry, lane: number } = lane.rules;
  return {
    lane: number,
    entry: entry === null ? null : (now.entries.get(entry) ?? null),
    summary: laneSummary(state, lane),
    heard: lane.crossings.length > 0,
    bestUs: lane.fastestUs,
  };
}

function noticesOf(state: HeatState, nowUs: number): DeskNotice[] {
  const rank = (notice: DeskNotice) =>
    notice.kind === 'silent' || notice.kind === 'false-start'
      ? 0
      : notice.kind === 'missed' && notice.strength === 'weak'
        ? 2
        : 1;
  const early = falseStarts(state).map(({ lane, crossing }) => ({ kind: 'false-start' as const, lane, crossing }));
  const all: DeskNotice[] = [...early, ...heatWarnings(state, nowUs), ...leftOut(state)];
  return all.sort((a, b) => rank(a) - rank(b));
}

/** Crossings that did not count and perhaps should: just after the power went off, or after the heat was confirmed. */
function leftOut(state: HeatState): DeskNotice[] {
  return state.lanes.flatMap(({ rules, crossings }) => {
    if (rules.entry === null) return [];
    return crossings.toArray().flatMap(({ crossing, verdict }): DeskNotice[] => {
      if (verdict === 'late') return [{ kind: 'late', lane: rules.lane, crossing }];
      if (verdict !== 'power off') return [];
      const offUs = [...state.clock.holds.map(({ fromUs }) => fromUs), state.clock.endUs]
        .filter((fromUs) => fromUs <= crossing.atUs)
        .reduce((latest, fromUs) => Math.max(latest, fromUs), 0);
      const afterUs = crossing.atUs - offUs;
      return afterUs <= powerOffShownUs ? [{ kind: 'power-off', lane: rules.lane, crossing, afterUs }] : [];
    });
  });
}

function recordOf(state: HeatState): RecordLine[] {
  const standing = new Set(rulingsThatStand(state.rulings).map(({ n }) => n));
  const events = state.events.map((fact): RecordLine => ({ fact, stands: true, undoable: false }));
  const rulings = state.rulings.map((fact): RecordLine => {
    const stands = standing.has(fact.n);
    return { fact, stands, undoable: stands };
  });
  return [...events, ...rulings].sort((a, b) => b.fact.n - a.fact.n);
}

/**
 * Part laps are asked for after a *time* heat; where cars stay where they stopped, only in an entry's last heat. The
 * suggestion is the part of a median lap that went by since the last crossing (common practice, no source).
 */
function partsOf(now: MeetingNow, heat: HeatPlanRow, state: HeatState): DeskPart[] {
  if (state.plan.format.kind === 'laps' || now.nowUs < state.clock.endUs) return [];
  return state.lanes.flatMap((lane) => {
    const { entry: id, lane: number } = lane.rules;
    const entry = id === null ? undefined : now.entries.get(id);
    if (!entry || (state.plan.start === 'carry' && drivesLater(now, heat, entry.id))) return [];
    return [
      { lane: number, entry, part: state.standing.part.get(number) ?? null, expected: expectedPart(state, lane) },
    ];
  });
}

function drivesLater(now: MeetingNow, heat: HeatPlanRow, entryId: string): boolean {
  return heatsToCome(now).some(({ id, lanes }) => id !== heat.id && lanes.some((lane) => lane.entryId === entryId));
}

function expectedPart(state: HeatState, { laps }: LaneState): number | null {
  const clean = laps
    .toArray()
    .filter(({ flags }) => flags.length === 0)
    .map(({ durationUs }) => durationUs)
    .sort((a, b) => a - b);
  const median = clean[clean.length >> 1];
  const last = laps.at(-1);
  const shown = shownClock(state, state.clock.endUs);
  if (clean.length < 3 || median === undefined || last === undefined || shown === null) return null;
  const part = Math.floor((100 * (shown.elapsedUs - last.endRaceUs)) / median);
  return part >= 0 && part < 100 ? part : null;
}
