import type { ToldHeat } from '../handicap/told.ts';
import type { HeatState } from '../heats/fold.ts';
import { heatPhase, isStarted, isVoid } from '../heats/phase.ts';
import type { Entry, Meeting, Race } from '../meetings/store.ts';
import type { ChosenVersion } from '../profiles/in-use-store.ts';
import { heatOutcome } from '../results/heat-outcome.ts';
import { raceOf } from '../results/rows.ts';
import { type RaceStanding, raceStanding } from '../results/standing.ts';
import type { Arming } from '../results/windows.ts';
import type { HeatPlanRow } from '../rotation/store.ts';
import type { TrackDevice } from '../timing/store.ts';
import type { Lane } from '../tracks/store.ts';

/** A meeting as it stands at one instant: what every screen of the night shows a part of. */
export type MeetingNow = {
  readonly meeting: Meeting;
  /** How the lanes of the track look, by number. */
  readonly lanes: readonly Pick<Lane, 'number' | 'colour' | 'pattern'>[];
  readonly races: readonly Race[];
  readonly entries: ReadonlyMap<string, Entry>;
  /** The heats on the plan, in the order of the night. */
  readonly programme: readonly HeatPlanRow[];
  /** Every heat as counted, also those taken off the plan. */
  readonly heats: ReadonlyMap<string, HeatState>;
  /** What was told of handicaps, by heat. */
  readonly handicaps: ReadonlyMap<string, ToldHeat>;
  /** What the drivers of the meeting have dialled in. */
  readonly chosen: readonly ChosenVersion[];
  /** The armings of the track, by instant. */
  readonly armings: readonly Arming[];
  readonly devices: readonly TrackDevice[];
  /** The server's time, in microseconds, at which all this holds. */
  readonly nowUs: number;
};

/** Where a heat is in its life, void ones by their clock all the same. */
export function phaseOf(now: MeetingNow, heatId: string): ReturnType<typeof heatPhase> {
  const state = now.heats.get(heatId);
  if (!state) return 'planned';
  return heatPhase(state, now.nowUs, now.armings.at(-1)?.heat !== heatId);
}

/** The heat that has the track: armed, running, or ended and not yet confirmed; or null. */
export function heatOnTrack(now: MeetingNow): HeatPlanRow | null {
  const id = now.armings.at(-1)?.heat ?? null;
  const heat = id === null ? undefined : now.programme.find((h) => h.id === id);
  const state = id === null ? undefined : now.heats.get(id);
  if (!heat || !state) return null;
  const phase = heatPhase(state, now.nowUs);
  const over = phase === 'confirmed' || (isVoid(state) && phase === 'ended');
  return over ? null : heat;
}

/** The heat to arm next: the first on the plan that was not started and does not have the track. */
export function nextHeat(now: MeetingNow): HeatPlanRow | null {
  const onTrack = heatOnTrack(now)?.id;
  return now.programme.find(({ id }) => id !== onTrack && !hasStarted(now, id)) ?? null;
}

/** The heats still to be run after the one that has the track, in order. */
export function heatsToCome(now: MeetingNow): HeatPlanRow[] {
  const onTrack = heatOnTrack(now)?.id;
  return now.programme.filter(({ id }) => id !== onTrack && !hasStarted(now, id));
}

/** The heat that ended last and counts; or null. */
export function lastHeatRun(now: MeetingNow): HeatPlanRow | null {
  let last: { heat: HeatPlanRow; startUs: number } | null = null;
  for (const heat of now.programme) {
    const state = now.heats.get(heat.id);
    if (!state || !isStarted(state) || isVoid(state)) continue;
    const { startUs, endUs } = state.clock;
    if (endUs <= now.nowUs && (last === null || startUs > last.startUs)) last = { heat, startUs };
  }
  return last?.heat ?? null;
}

/** A heat with its race, its number among the heats of that race, from 1, and how many those are. */
export type NumberedHeat = { heat: HeatPlanRow; race: Race; number: number; of: number };

/** Numbers a heat as people count them; null when it or its race is not on the plan. */
export function numbered(now: MeetingNow, heatId: string): NumberedHeat | null {
  const heat = now.programme.find(({ id }) => id === heatId);
  const race = heat && now.races.find(({ id }) => id === heat.raceId);
  if (!heat || !race) return null;
  const ofRace = now.programme.filter(({ raceId }) => raceId === race.id);
  return { heat, race, number: ofRace.indexOf(heat) + 1, of: ofRace.length };
}

/** The standing of a race at this instant. */
export function standingOf(now: MeetingNow, raceId: string): RaceStanding | null {
  const race = now.races.find(({ id }) => id === raceId);
  if (!race) return null;
  const entries = [...now.entries.values()].filter((entry) => entry.raceId === raceId);
  const outcomes = [...now.heats.values()]
    .filter(({ plan }) => plan.race === raceId)
    .map((state) => heatOutcome(state, ordinalOf(now, state.plan.heat), now.nowUs));
  return raceStanding(
    raceOf(race),
    entries.map(({ id, driverId }) => ({ id, driver: driverId })),
    outcomes,
    (driver) => entries.find(({ driverId }) => driverId === driver)?.nickname ?? '',
  );
}

function hasStarted(now: MeetingNow, heatId: string): boolean {
  const state = now.heats.get(heatId);
  return state !== undefined && isStarted(state);
}

/** A heat that was taken off the plan was never started, so its place in a standing does not matter. */
function ordinalOf(now: MeetingNow, heatId: string): number {
  return now.programme.find(({ id }) => id === heatId)?.ordinal ?? 0;
}
