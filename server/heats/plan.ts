/** What is laid down about a heat before it is run. */

/**
 * Where the cars wait for the start. `ahead`: before the timing line, the first crossing opens lap 1. `behind`: on or
 * past it, the first crossing completes lap 1. `carry`: where they stopped in the heat before; as `behind`, but lap 1
 * may be however short.
 */
export type StartMode = 'ahead' | 'behind' | 'carry';

export const startModes: readonly StartMode[] = ['ahead', 'behind', 'carry'];

/**
 * How a heat ends and what it is scored by.
 *
 * `time`: laps in a time; it ends after `durationMs` of race time (null: never by itself), or, with `firstTo`, as soon
 * as one lane has that many laps; at least one of the two is set. `laps`: the time for so many laps; it ends when
 * every racing lane has them, or after `limitMs` of race time (null: no limit).
 */
export type HeatFormat =
  | { readonly kind: 'time'; readonly durationMs: number | null; readonly firstTo: number | null }
  | { readonly kind: 'laps'; readonly laps: number; readonly limitMs: number | null };

/** One lane of the track in this heat; `entry` null: nobody drives on it. */
export type LanePlan = {
  readonly lane: number;
  /** Shortest possible lap: the race's where it has one, else the lane's. */
  readonly minLapUs: number;
  readonly entry: string | null;
  /** Handicap: the lane starts after so much race time. */
  readonly delayMs: number;
};

export type HeatPlan = {
  readonly heat: string;
  readonly race: string;
  readonly format: HeatFormat;
  readonly start: StartMode;
  /** How long after the beginning of a hold, and after the end, a rolling car still counts. */
  readonly holdRollUs: number;
  readonly endRollUs: number;
  /** Whether a clean standing lap may be a fastest lap (never under `carry`). */
  readonly standingFastest: boolean;
  /** All lanes of the track, by rising number. */
  readonly lanes: readonly LanePlan[];
};

/** The number of laps beyond which a lane is done, or null where there is none. */
export function lapGoal(format: HeatFormat): number | null {
  return format.kind === 'laps' ? format.laps : format.firstTo;
}

/** The race time at which the heat ends by itself, in microseconds, or null. */
export function raceTimeLimitUs(format: HeatFormat): number | null {
  const limitMs = format.kind === 'laps' ? format.limitMs : format.durationMs;
  return limitMs === null ? null : limitMs * 1000;
}
