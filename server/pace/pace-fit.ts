/** Everything the model knows after a fit; JSON, stored as it is. */
export interface PaceFit {
  readonly engine: string;
  readonly seed: number;
  /** Of the laps and drivers that went in; a short hash in hex. */
  readonly inputsHash: string;
  /** Latest night that went in. */
  readonly lastNight: number;
  /** Standard deviations of the random parts, in log pace (pace.md names). */
  readonly components: Components;
  readonly lanes: readonly LaneEffect[];
  readonly classes: readonly { readonly carClass: string; readonly logPace: number }[];
  readonly drivers: readonly DriverFit[];
  /** Pooled: spread and lag-1 correlation of clean laps, mean and spread of log seconds lost in a crash. */
  readonly pooled: { readonly lapSd: number; readonly rho: number; readonly nu: number; readonly omega: number };
}

export interface Components {
  readonly a: number;
  readonly w: number;
  readonly q: number;
  readonly r: number;
  readonly de: number;
  readonly tau: number;
  readonly s: number;
  readonly g: number;
}

export interface LaneEffect {
  readonly track: string;
  readonly lane: number;
  /** Log; the effects of a track add up to 0. */
  readonly logEffect: number;
  readonly sd: number;
}

export interface DriverFit {
  readonly driver: string;
  readonly group: 'junior' | 'adult' | null;
  /** Nights attended up to and with `lastNight`. */
  readonly nights: number;
  /** Pace expected at the next attended night, by class driven; relative to the classes' field (see predict). */
  readonly classes: readonly ClassPace[];
  /** Spread of the driver's own clean laps, in log. */
  readonly lapSd: number;
  /** Chance of a crash on a lap: Beta(alpha, beta). */
  readonly crash: { readonly alpha: number; readonly beta: number };
  /** Mean of log seconds lost in a crash. */
  readonly nu: number;
}

export interface ClassPace {
  readonly carClass: string;
  readonly logPace: number;
  /** Standard deviation of `logPace`, the night's grip left out. */
  readonly sd: number;
  /** Heats behind it. */
  readonly heats: number;
}

/** One car of a heat to come, as the planner takes it. */
export interface Starter {
  readonly driver: string;
  /** Expected clean log pace on this lane tonight. */
  readonly logPace: number;
  /** Variance of the driver's level in this heat: uncertainty + form of the night + heat effect. */
  readonly variance: number;
  readonly lapSd: number;
  readonly rho: number;
  readonly crash: { readonly alpha: number; readonly beta: number };
  readonly nu: number;
  readonly omega: number;
}
