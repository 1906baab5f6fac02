/** Everything the model knows after a fit; JSON, stored as it is. */
export interface PaceFit {
  readonly engine: string;
  readonly seed: number;
  /** Of the laps and drivers that went in; a short hash in hex. */
  readonly inputsHash: string;
  /** Latest night that went in. */
  readonly lastNight: number;
  /** Standard deviations of the random parts, in log pace. */
  readonly components: Components;
  readonly lanes: readonly LaneEffect[];
  /** Log pace on each track against the one with most heats, which has 0. */
  readonly tracks: readonly { readonly track: string; readonly logEffect: number }[];
  readonly classes: readonly { readonly carClass: string; readonly logPace: number }[];
  /** How much faster the track gets on a usual night: taken off log pace times `driftAt`. */
  readonly drift: number;
  readonly drivers: readonly DriverFit[];
  /** What a driver without laps is taken for, by group; null where nobody said. */
  readonly newcomers: readonly DriverFit[];
  /** Pooled: spread and lag-1 correlation of clean laps, mean and spread of log seconds lost in a crash. */
  readonly pooled: { readonly lapSd: number; readonly rho: number; readonly nu: number; readonly omega: number };
  /** What single heats of the past are compared with; missing in fits that an older version of the program kept. */
  readonly past?: PastConditions;
}

/** What nights and learning did to the heats that went in. */
export interface PastConditions {
  readonly nights: readonly NightConditions[];
  /**
   * How much slower than he will be a junior is at his first night, in log pace: shrinks by a factor e every 8 nights
   * attended, see `learningAt`. Null where the club has no juniors to tell it from.
   */
  readonly learning: { readonly mean: number; readonly sd: number } | null;
}

/** Grip of a night on a track: adds `grip - gain * driftAt(startS)` to log pace. */
export interface NightConditions {
  readonly night: number;
  readonly track: string;
  /** Against the mean of all nights. */
  readonly grip: number;
  readonly gain: number;
  /** Variance of the grip, covariance of grip and gain, variance of the gain. */
  readonly covariance: readonly [number, number, number];
}

export interface Components {
  /** Ability of drivers at their first night. */
  readonly a: number;
  /** A driver in one class against his others. */
  readonly w: number;
  /** Walk of ability from one night attended to the next. */
  readonly q: number;
  /** Form of a night. */
  readonly r: number;
  /** A junior's own learning against that of juniors. */
  readonly de: number;
  /** A heat, beyond the laps that are seen of it. */
  readonly tau: number;
  /** Grip of a night. */
  readonly s: number;
  /** Change of grip over a night. */
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
  /** Empty for newcomers. */
  readonly driver: string;
  readonly group: 'junior' | 'adult' | null;
  /** Nights attended up to and with `lastNight`. */
  readonly nights: number;
  /** Pace expected at the next attended night, in every class of the club; see `predictLevels`. */
  readonly classes: readonly ClassPace[];
  /** Covariances of the `logPace` of the classes, in their order; `sd` squared stands on the diagonal. */
  readonly covariance: readonly (readonly number[])[];
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
  /** Standard deviation of `logPace` against the field of the class: the night's grip is left out. */
  readonly sd: number;
  /** Heats behind it. */
  readonly heats: number;
  /** Latest heats, oldest first: clean log pace with lane, track and grip taken off. */
  readonly latestHeats: readonly { readonly night: number; readonly logPace: number; readonly v: number }[];
  /** Latest nights attended with this class, oldest first: level on that night as all nights together show it. */
  readonly latestNights: readonly NightLevel[];
}

export interface NightLevel {
  readonly night: number;
  readonly logPace: number;
  /** The level as the driver's heats up to that night show it: what comes later does not change it. */
  readonly shownLogPace: number;
  /** Standard deviation of `logPace` against the field of the class. */
  readonly sd: number;
  /** Standard deviation of the change from this night's level to the one expected next. */
  readonly changeSd: number;
  /** Nights attended before this one. */
  readonly nightsBehind: number;
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
