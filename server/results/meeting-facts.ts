import type { ClockBits, Crossing, HeatEvent, Ruling } from '../heats/facts.ts';
import type { HeatFormat, HeatPlan, StartMode } from '../heats/plan.ts';

export type Meeting = {
  readonly name: string;
  /** YYYY-MM-DD */
  readonly date: string;
  /** Time zone, Area/City. */
  readonly zone: string;
};

export type TrackLane = { readonly lane: number; readonly lengthMm: number; readonly minLapUs: number };

export type Track = {
  readonly name: string;
  readonly lanes: readonly TrackLane[];
  readonly start: StartMode;
  readonly holdRollUs: number;
  readonly endRollUs: number;
};

export type Driver = { readonly id: string; readonly nickname: string };

export type Race = {
  readonly id: string;
  readonly name: string;
  readonly carClass: string;
  readonly format: HeatFormat;
  /** Shortest possible lap of this race; null: each lane's own. */
  readonly minLapUs: number | null;
  /** What the heats count that an entry lacks: nothing, or the mean of its own. */
  readonly missing: 'zero' | 'mean';
  readonly standingFastest: boolean;
  /** How many heats each entry runs; null: not laid down. */
  readonly heatsPerEntry: number | null;
};

export type Entry = { readonly id: string; readonly race: string; readonly driver: string; readonly car: string };

export type HeatLane = { readonly lane: number; readonly entry: string; readonly delayMs: number };

export type Heat = {
  readonly id: string;
  readonly race: string;
  readonly ordinal: number;
  /** Lanes with an entry only. */
  readonly lanes: readonly HeatLane[];
  /** Entries of any race. */
  readonly marshals: readonly string[];
  /** The heat that this one is run again for, or null. */
  readonly reruns: string | null;
};

export type Device = { readonly id: string; readonly bits: ClockBits };

/** An event or a ruling and its heat. */
export type JournalLine = { readonly heat: string; readonly fact: HeatEvent | Ruling };

/** A whole meeting as its log has it. */
export type MeetingFacts = {
  readonly meeting: Meeting;
  readonly track: Track;
  readonly drivers: readonly Driver[];
  readonly races: readonly Race[];
  readonly entries: readonly Entry[];
  readonly heats: readonly Heat[];
  readonly devices: readonly Device[];
  /** Events and rulings of all heats in the order in which they were written. */
  readonly journal: readonly JournalLine[];
  /** Each crossing once. */
  readonly crossings: readonly Crossing[];
};

/** What is laid down about a heat: its own lanes and delays, its race's format, the track's lanes and roll times. */
export function planOfHeat(track: Track, race: Race, heat: Heat): HeatPlan {
  const driven = new Map(heat.lanes.map((lane) => [lane.lane, lane]));
  return {
    heat: heat.id,
    race: race.id,
    format: race.format,
    start: track.start,
    holdRollUs: track.holdRollUs,
    endRollUs: track.endRollUs,
    standingFastest: race.standingFastest,
    lanes: track.lanes
      .map(({ lane, minLapUs }) => ({
        lane,
        minLapUs: race.minLapUs ?? minLapUs,
        entry: driven.get(lane)?.entry ?? null,
        delayMs: driven.get(lane)?.delayMs ?? 0,
      }))
      .sort((a, b) => a.lane - b.lane),
  };
}
