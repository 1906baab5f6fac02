import { surprisingWinner } from '../handicap/surprise.ts';
import { confirmedAtUs, isVoid } from '../heats/phase.ts';
import type { HeatPlanRow } from '../rotation/store.ts';
import type { MeetingNow } from './meeting-now.ts';

/** What one lane of a heat is given. */
export type LaneHandicap = {
  lane: number;
  delayMs: number;
  /** In favour of the driver: hundredths of a lap in a heat over a time, milliseconds in one over laps. */
  credit: number;
  provisional: boolean;
  /** Chance to win without and with it; null where it cannot be told, or is not for everybody who looks. */
  chance: { before: number; after: number } | null;
};

export type HeatHandicap = {
  lanes: LaneHandicap[];
  /** Of a heat that may still change: it is being worked out from what happened last. */
  pending: boolean;
  /** Nobody gets anything because too little is known. */
  blind: boolean;
};

/**
 * What the lanes of a heat are given; null for a heat without handicap.
 *
 * @param chances whether chances are told: directors alone see them
 */
export function heatHandicapOf(now: MeetingNow, heat: HeatPlanRow, chances: boolean): HeatHandicap | null {
  const setting = now.races.find(({ id }) => id === heat.raceId)?.handicap ?? null;
  const told = now.handicaps.get(heat.id);
  const state = now.heats.get(heat.id);
  const fixed = state !== undefined && state.events.length > 0;
  if (setting === null && !(told && fixed) && heat.lanes.every(({ delayMs }) => delayMs === 0)) return null;
  const lanes = heat.lanes.map(({ lane, entryId, delayMs }): LaneHandicap => {
    const line = told?.lanes.find((one) => one.entryId === entryId);
    const byHand = !told && setting?.mode === 'credit' ? (now.entries.get(entryId)?.credit ?? 0) : 0;
    const { before = null, after = null } = line ?? {};
    return {
      lane,
      delayMs,
      credit: line?.credit ?? byHand,
      provisional: line?.provisional ?? false,
      chance: chances && line?.lane === lane && before !== null && after !== null ? { before, after } : null,
    };
  });
  const isFresh =
    told !== undefined &&
    told.heatsSeen === heatsSeen(now) &&
    told.lanes.length === heat.lanes.length &&
    heat.lanes.every(({ lane, entryId }) => told.lanes.some((one) => one.lane === lane && one.entryId === entryId));
  const pending = setting !== null && !fixed && !isFresh;
  const nothing = lanes.every(({ delayMs, credit }) => delayMs === 0 && credit === 0);
  return {
    lanes,
    pending,
    blind: !pending && nothing && told !== undefined && told.lanes.every((one) => one.before === null),
  };
}

/** What a driver's lane is given in a heat; null for nothing. */
export function entryHandicapOf(now: MeetingNow, heat: HeatPlanRow, lane: number): LaneHandicap | null {
  const given = heatHandicapOf(now, heat, false)?.lanes.find((one) => one.lane === lane);
  return given && (given.delayMs > 0 || given.credit !== 0) ? given : null;
}

/** Whether a heat was won by far more than was to be expected. */
export function isSurprising(now: MeetingNow, heatId: string): boolean {
  const state = now.heats.get(heatId);
  const told = now.handicaps.get(heatId);
  return state !== undefined && told !== undefined && surprisingWinner(state, told, now.nowUs) !== null;
}

function heatsSeen({ programme, heats }: MeetingNow): number {
  return programme.filter(({ id }) => {
    const state = heats.get(id);
    return state !== undefined && !isVoid(state) && confirmedAtUs(state) !== null;
  }).length;
}
