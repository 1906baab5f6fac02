/** What one driver did in one heat, made from its laps: one row of the club model. Logarithms are natural. */
export interface HeatRow {
  readonly night: number;
  readonly heat: string;
  readonly startS: number;
  readonly track: string;
  readonly lane: number;
  readonly driver: string;
  readonly carClass: string;
  /** Clean log pace: log of seconds a lap; NaN never: a heat without a usable pace is left out of `HeatRow` lists for pace
   * and kept in `CrashCount`. */
  readonly y: number;
  /** Sampling variance of `y`. */
  readonly v: number;
  /** Sum of the weights of clean laps. */
  readonly cleanLaps: number;
}

/** Mistakes of one driver in one heat. */
export interface CrashCount {
  readonly night: number;
  readonly heat: string;
  readonly driver: string;
  readonly carClass: string;
  /** Soft number of crashes. */
  readonly crashes: number;
  /** Laps that could show a crash. */
  readonly laps: number;
  /** Seconds lost, one for each lap that was most likely a crash. */
  readonly lossesS: readonly number[];
}
