import { type HeatPhase, isVoid } from '../heats/phase.ts';
import { lapGoal } from '../heats/plan.ts';
import type { Entry, Race } from '../meetings/store.ts';
import type { HeatPlanRow } from '../rotation/store.ts';
import { type DeskClock, deskClock } from './control-view.ts';
import { entryHandicapOf, type LaneHandicap } from './heat-handicap.ts';
import { type Interim, interimOf } from './interim.ts';
import {
  heatOnTrack,
  lastHeatRun,
  type MeetingNow,
  type NumberedHeat,
  nextHeat,
  numbered,
  phaseOf,
  standingOf,
} from './meeting-now.ts';
import { expectedStarts } from './night-times.ts';
import { type PackLane, packOf } from './pack.ts';

/** The heat that everybody watches. */
export type WallHeat = NumberedHeat & {
  phase: HeatPhase;
  void: boolean;
  /** In the countdown: the time to the start. Null before the start was pressed. */
  clock: DeskClock | null;
  /** In a heat over laps: how far the leader is. */
  laps: { done: number; of: number } | null;
  pack: PackLane[];
  /** What lanes are given, by number; before the start only. */
  handicaps: ReadonlyMap<number, LaneHandicap>;
};

/** Who is called next. */
export type WallNext = NumberedHeat & {
  lanes: { lane: number; entry: Entry; handicap: LaneHandicap | null }[];
  marshals: Entry[];
  /** Probable start on the server's scale, or null. */
  startsAtUs: number | null;
};

/** What the wall shows: the heat that has the track, or what lies between two heats. */
export type WallView = {
  heat: WallHeat | null;
  next: WallNext | null;
  /** The race of the next heat, or of the last one; null before anybody has driven in it. */
  standing: { race: Race; interim: Interim; over: boolean } | null;
};

export function wallOf(now: MeetingNow): WallView {
  const onTrack = heatOnTrack(now);
  return { heat: onTrack && wallHeat(now, onTrack), next: wallNext(now), standing: onTrack ? null : standing(now) };
}

function wallHeat(now: MeetingNow, heat: HeatPlanRow): WallHeat | null {
  const place = numbered(now, heat.id);
  const state = now.heats.get(heat.id);
  if (!place || !state) return null;
  const pack = packOf(now, state);
  const goal = lapGoal(state.plan.format);
  const done = pack.reduce((most, { summary }) => Math.max(most, summary.laps), 0);
  const phase = phaseOf(now, heat.id);
  return {
    ...place,
    phase,
    void: isVoid(state),
    clock: deskClock(state, now.nowUs),
    laps: state.plan.format.kind === 'laps' && goal !== null ? { done: Math.min(done, goal), of: goal } : null,
    pack,
    handicaps: new Map(
      (phase === 'armed' || phase === 'countdown' ? pack : []).flatMap(({ lane }) => {
        const given = entryHandicapOf(now, heat, lane);
        return given ? [[lane, given] as const] : [];
      }),
    ),
  };
}

function wallNext(now: MeetingNow): WallNext | null {
  const heat = nextHeat(now);
  const place = heat && numbered(now, heat.id);
  if (!heat || !place) return null;
  const entryOf = (id: string) => now.entries.get(id);
  return {
    ...place,
    lanes: heat.lanes.flatMap(({ lane, entryId }) => {
      const entry = entryOf(entryId);
      return entry ? [{ lane, entry, handicap: entryHandicapOf(now, heat, lane) }] : [];
    }),
    marshals: heat.marshals.flatMap((id) => entryOf(id) ?? []),
    startsAtUs: expectedStarts(now).get(heat.id) ?? null,
  };
}

function standing(now: MeetingNow): WallView['standing'] {
  const next = nextHeat(now);
  const last = lastHeatRun(now);
  const race = now.races.find(({ id }) => id === (next ?? last)?.raceId);
  const rows = race && standingOf(now, race.id);
  if (!race || !rows) return null;
  const interim = interimOf(rows, race.format === 'laps' ? 'laps' : 'time');
  if (interim.heats.most === 0) return null;
  const over = !now.programme.some(({ raceId, id }) => raceId === race.id && phaseOf(now, id) === 'planned');
  return { race, interim, over };
}
