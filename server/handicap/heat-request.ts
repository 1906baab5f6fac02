import type { HandicapRequest } from '../pace/handicap.ts';
import type { Starter } from '../pace/pace-fit.ts';
import type { HeatLength } from '../pace/score-draws.ts';
import type { RaceHandicap } from './told.ts';

/** What of a race a heat's length and scores depend on. */
export interface RaceLength {
  readonly format: string;
  readonly durationMs: number | null;
  readonly firstTo: number | null;
  readonly laps: number | null;
}

export interface Asked {
  readonly race: RaceLength;
  readonly handicap: RaceHandicap;
  readonly starters: readonly Starter[];
  /** By starter: laid down by the director, as delay in milliseconds or as credit; null: to be found. */
  readonly byHand: readonly (number | null)[];
  readonly seed: number;
}

/** Rounding of credited laps: tenths of a lap. */
const lapStep = 10;

/** What the planner is asked for a heat; null for a race whose heats have no length. */
export function heatRequest({ race, handicap, starters, byHand, seed }: Asked): HandicapRequest | null {
  const { mode } = handicap;
  const length = heatLength(race, mode, starters);
  if (length === null) return null;
  const inLaps = mode === 'credit' && length.kind === 'time';
  const cap = handicap.capMs;
  return {
    length,
    starters,
    mode,
    dial: Math.min(100, Math.max(0, handicap.dial)) / 100,
    cap: cap === null ? null : inLaps ? Math.round((100 * cap) / 1000 / meanLapS(starters)) : cap,
    step: inLaps ? lapStep : Math.max(1, handicap.roundMs),
    byHand,
    // What is laid down for one driver changes nothing for the others.
    aroundHand: false,
    seed,
  };
}

/**
 * A heat as the planner knows heats. One that ends with the first car's last lap is one over laps; for laps credited in it,
 * which its scores are in, one over the time that the quickest car takes.
 */
function heatLength(race: RaceLength, mode: RaceHandicap['mode'], starters: readonly Starter[]): HeatLength | null {
  const sound = (x: number | null): x is number => x !== null && Number.isFinite(x) && x > 0;
  if (race.format === 'laps') return sound(race.laps) ? { kind: 'laps', laps: race.laps } : null;
  const overTime: HeatLength | null = sound(race.durationMs) ? { kind: 'time', durationMs: race.durationMs } : null;
  if (!sound(race.firstTo)) return overTime;
  const quickest = Math.min(...starters.map(lapS));
  const firstMs = Math.round(1000 * quickest * race.firstTo);
  if (!sound(firstMs)) return overTime;
  if (overTime?.kind === 'time' && overTime.durationMs <= firstMs) return overTime;
  return mode === 'delay' ? { kind: 'laps', laps: race.firstTo } : { kind: 'time', durationMs: firstMs };
}

const lapS = ({ logPace }: Starter) => Math.exp(Number.isFinite(logPace) ? Math.min(logPace, Math.log(3600)) : 2);

function meanLapS(starters: readonly Starter[]): number {
  const mean = starters.reduce((sum, starter) => sum + lapS(starter), 0) / Math.max(1, starters.length);
  return mean > 0 ? mean : 10;
}
