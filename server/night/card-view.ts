import { laneSummary } from '../heats/lane-summary.ts';
import { isStarted } from '../heats/phase.ts';
import type { Entry } from '../meetings/store.ts';
import type { HeatPlanRow } from '../rotation/store.ts';
import { entryHandicapOf, type LaneHandicap } from './heat-handicap.ts';
import { interimOf } from './interim.ts';
import {
  heatOnTrack,
  heatsToCome,
  lastHeatRun,
  type MeetingNow,
  type NumberedHeat,
  numbered,
  standingOf,
} from './meeting-now.ts';
import { expectedStarts } from './night-times.ts';
import { ownPaceUs } from './own-pace.ts';

/** What a driver does in one heat. */
export type Duty = NumberedHeat & {
  kind: 'drive' | 'marshal';
  /** Lane to drive on, or marshal post from 1. */
  place: number;
  /** Probable start on the server's scale; null for a heat that was run, or when nobody can tell. */
  startsAtUs: number | null;
  /** Heats to be run before this one; 0: it is next. Null for a heat that was run or has the track. */
  before: number | null;
  /** What the driver is given in a heat that was not started. */
  handicap: LaneHandicap | null;
  /** What came of it, once it was started. */
  result: { laps: number; score: number | null; bestUs: number | null } | null;
};

/** One step on the line of the night: a duty, or heats with none. */
export type Moment =
  | { kind: 'duty'; duty: Duty; state: MomentState }
  | { kind: 'rest'; from: NumberedHeat; to: NumberedHeat; startsAtUs: number | null; state: MomentState };
export type MomentState = 'past' | 'now' | 'next' | 'later';

export type CardLap = { n: number; durationUs: number; clean: boolean; best: boolean };

/** A driver's own night. */
export type Card = {
  /** The driver's entries in this meeting; a driver may be in several races. */
  entries: Entry[];
  /** What the driver does in the heat that has the track. */
  now: Duty | null;
  nextDrive: Duty | null;
  nextMarshal: Duty | null;
  line: Moment[];
  /** The heat that the driver is in or was in last, latest lap first. */
  laps: { heat: NumberedHeat; lane: number; running: boolean; paceUs: number | null; laps: CardLap[] } | null;
  /** Position in each race that has begun. */
  places: { race: string; position: number; of: number; heats: number }[];
};

/** The card of the driver with these entries. */
export function cardOf(now: MeetingNow, entries: Entry[]): Card {
  const own = new Set(entries.map(({ id }) => id));
  const onTrack = heatOnTrack(now);
  const toCome = heatsToCome(now).map(({ id }) => id);
  const starts = expectedStarts(now);
  const duties = new Map<string, Duty>();
  for (const heat of now.programme) {
    const duty = dutyIn(now, heat, own);
    const before = toCome.indexOf(heat.id);
    if (duty)
      duties.set(heat.id, { ...duty, startsAtUs: starts.get(heat.id) ?? null, before: before < 0 ? null : before });
  }
  const coming = toCome.flatMap((id) => duties.get(id) ?? []);
  return {
    entries,
    now: (onTrack && duties.get(onTrack.id)) ?? null,
    nextDrive: coming.find(({ kind }) => kind === 'drive') ?? null,
    nextMarshal: coming.find(({ kind }) => kind === 'marshal') ?? null,
    line: lineOf(now, duties, coming[0]?.heat.id ?? null, starts),
    laps: ownLaps(now, duties),
    places: placesOf(now, own),
  };
}

function dutyIn(
  now: MeetingNow,
  heat: HeatPlanRow,
  own: ReadonlySet<string>,
): Omit<Duty, 'startsAtUs' | 'before'> | null {
  const place = numbered(now, heat.id);
  if (!place) return null;
  const drives = heat.lanes.find(({ entryId }) => own.has(entryId));
  if (drives) {
    const result = resultOf(now, heat.id, drives.lane);
    const handicap = result === null ? entryHandicapOf(now, heat, drives.lane) : null;
    return { ...place, kind: 'drive', place: drives.lane, result, handicap };
  }
  const post = heat.marshals.findIndex((entryId) => own.has(entryId));
  return post < 0 ? null : { ...place, kind: 'marshal', place: post + 1, result: null, handicap: null };
}

function resultOf(now: MeetingNow, heatId: string, lane: number): Duty['result'] {
  const state = now.heats.get(heatId);
  const own = state?.lanes.find(({ rules }) => rules.lane === lane);
  if (!state || !own || !isStarted(state)) return null;
  const { laps, score, fastestUs } = laneSummary(state, own);
  return { laps, score, bestUs: fastestUs };
}

/** The heats of the night in order; those without a duty that follow each other are one rest. */
function lineOf(
  now: MeetingNow,
  duties: ReadonlyMap<string, Duty>,
  next: string | null,
  starts: ReadonlyMap<string, number>,
): Moment[] {
  const line: Moment[] = [];
  const onTrack = heatOnTrack(now)?.id ?? null;
  const toCome = new Set(heatsToCome(now).map(({ id }) => id));
  for (const heat of now.programme) {
    const state: MomentState =
      heat.id === onTrack ? 'now' : heat.id === next ? 'next' : toCome.has(heat.id) ? 'later' : 'past';
    const duty = duties.get(heat.id);
    const place = numbered(now, heat.id);
    const last = line.at(-1);
    if (duty) line.push({ kind: 'duty', duty, state });
    else if (place && last?.kind === 'rest' && last.state === state && last.to.race.id === place.race.id)
      last.to = place;
    else if (place) line.push({ kind: 'rest', from: place, to: place, startsAtUs: starts.get(heat.id) ?? null, state });
  }
  return line;
}

/** The laps of the heat that has the track, if the driver is in it, else of the last one that the driver was in. */
function ownLaps(now: MeetingNow, duties: ReadonlyMap<string, Duty>): Card['laps'] {
  const started = [...duties.values()]
    .filter(({ kind, heat }) => kind === 'drive' && startOf(now, heat.id) !== null)
    .sort((a, b) => (startOf(now, b.heat.id) ?? 0) - (startOf(now, a.heat.id) ?? 0));
  const [duty] = started;
  const state = duty && now.heats.get(duty.heat.id);
  const lane = state?.lanes.find(({ rules }) => rules.lane === duty?.place);
  if (!duty || !state || !lane) return null;
  const laps = lane.laps.toArray();
  const best = laps.find(({ durationUs, flags }) => durationUs === lane.fastestUs && flags.length === 0);
  return {
    heat: duty,
    lane: duty.place,
    running: now.nowUs < state.clock.endUs && lastHeatRun(now)?.id !== duty.heat.id,
    paceUs: ownPaceUs(now, lane.rules.entry ?? ''),
    laps: laps
      .map((lap) => ({ n: lap.n, durationUs: lap.durationUs, clean: lap.flags.length === 0, best: lap === best }))
      .reverse(),
  };
}

function startOf(now: MeetingNow, heatId: string): number | null {
  const state = now.heats.get(heatId);
  return state && isStarted(state) ? state.clock.startUs : null;
}

function placesOf(now: MeetingNow, own: ReadonlySet<string>): Card['places'] {
  return now.races.flatMap((race) => {
    const standing = standingOf(now, race.id);
    if (!standing) return [];
    const { rows } = interimOf(standing, race.format === 'laps' ? 'laps' : 'time');
    const row = rows.find(({ entry }) => own.has(entry));
    if (!row || row.position === null) return [];
    return [{ race: race.name, position: row.position, of: rows.length, heats: row.heats }];
  });
}
