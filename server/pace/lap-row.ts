/** One counted lap of the past, as the pace model reads it. */
export interface LapRow {
  /** Number of the race night, rising with its date. */
  readonly night: number;
  /** Names a heat within its night. */
  readonly heat: string;
  /** Start of the heat, in seconds from the start of the first heat of the night. */
  readonly startS: number;
  readonly track: string;
  /** From 1. */
  readonly lane: number;
  readonly driver: string;
  /** Class of cars. */
  readonly carClass: string;
  /** Number of the lap in its heat, from 1; 1 is the lap from the standing start. */
  readonly lap: number;
  readonly timeS: number;
  /** `crash`: the car left the slot; `call`: a track call fell into the lap; else empty. */
  readonly flag: '' | 'crash' | 'call';
}

/** Laps that can be gone through more than once. */
export interface Laps extends Iterable<LapRow> {
  readonly length: number;
}

/** What is known of a driver beside laps. */
export interface DriverRow {
  readonly driver: string;
  /** Juniors learn quickly; null where nobody said. */
  readonly group: 'junior' | 'adult' | null;
  /** Nights attended before the first one that has laps here: 0 for somebody who has never raced. */
  readonly nightsBefore: number;
}
