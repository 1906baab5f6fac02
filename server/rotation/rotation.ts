/** A driver as the caller names them: a nickname, an entry's id, or a number from 1 where only a count was given. */
export type Driver = string | number;

/** What one lane slot of a heat holds: a driver, or nobody. */
export type Seat = Driver | null;

/** How a rotation weighs its aims. `step` is the queue: everybody moves one place on after each heat. */
export type Preset = 'opponents' | 'rest' | 'balanced' | 'step' | 'equals';

/** What a rotation is drawn from. Built by {@link drawRequest}, which fills in everything but drivers and lanes. */
export interface DrawRequest {
  /** Distinct, in the order in which they first race. */
  readonly drivers: readonly Driver[];
  /** Lanes of the track, numbered from 1. */
  readonly lanes: number;
  /** Lane numbers that are not used tonight. */
  readonly lanesOut: readonly number[];
  /** The order in which drivers step through the lanes: all lanes of the track, or all lanes in use, each once. */
  readonly laneOrder: readonly number[];
  /** How often every driver runs every lane in use, at least 1. */
  readonly runsPerLane: number;
  /** Exactly so many heats (still to run, in a repair), whatever `runsPerLane` says; null: as `runsPerLane` needs. Lane
   * counts of a driver then differ by at most one. */
  readonly heats: number | null;
  /** Most cars in one heat; null: as many as there are lanes in use. */
  readonly carsPerHeat: number | null;
  /** Marshals wanted in each heat. */
  readonly marshals: number;
  /** Drivers who never stand marshal. */
  readonly exempt: readonly Driver[];
  /** `pairs`: two lanes, everyone meets everyone, and again with lanes swapped. */
  readonly format: 'lanes' | 'pairs';
  /** Number of groups that race among themselves one after the other, or who is in which group. */
  readonly groups: number | readonly (readonly Driver[])[];
  /** Heats that were run, in order; seats by lane of the track. They may hold drivers who left. */
  readonly done: readonly (readonly Seat[])[];
  /** The next heats as they were announced: kept where nothing speaks against it. */
  readonly published: readonly (readonly Seat[])[];
  /** Drivers who race no more. They are among `drivers`. */
  readonly leave: readonly Driver[];
  /** Drivers who come late, not among `drivers`, with the runs on every lane they get tonight, those in `done` included. */
  readonly join: readonly { readonly driver: Driver; readonly runsPerLane: number }[];
  /** Marshal duties done in the heats that were run: they count when duties are spread. */
  readonly duties: readonly { readonly driver: Driver; readonly duties: number }[];
  readonly preset: Preset;
  /** Seed of an engine that searches. The step rotation leaves nothing to chance: it repeats the seed in its answer. */
  readonly seed: number;
  /** Longest search, turned into a fixed number of steps by an engine that searches. */
  readonly budgetMs: number;
  /** Units of work after which somebody stopped the search and took what was there; null: it ran to its end. */
  readonly steps: number | null;
}

/** How sure it is that nothing better exists. */
export type Verdict = 'proved best' | 'best known' | 'compromise';

/**
 * Why a verdict holds.
 *
 * Proved best:
 * - `theorem`: every choice of heats allows it, and it was reached
 * - `bound reached`: counting alone shows that nothing is better
 * - `no such design`: counting would allow better, but a proof shows that no rotation has it
 * - `opponents need it`: better is possible only where drivers meet less evenly than here
 *
 * Best known:
 * - `searched`: sought after, nothing better was found, no proof
 * - `searched, bound raised`: the same, and what counting would allow is proved to be out of reach
 *
 * Compromise:
 * - `for opponents`, `for rest`, `for balance`: something else counted more
 * - `best with this rest`: for rest, and proved to be the best with so few back-to-backs
 * - `steps`, `table`: the order of steps or a published table decides, not this aim
 * - `kept heats`, `by hand`: announced heats were kept, or people changed the heats
 */
export type Why =
  | 'theorem'
  | 'bound reached'
  | 'no such design'
  | 'opponents need it'
  | 'searched'
  | 'searched, bound raised'
  | 'for opponents'
  | 'for rest'
  | 'for balance'
  | 'best with this rest'
  | 'steps'
  | 'table'
  | 'kept heats'
  | 'by hand';

/** A measured figure beside the bound that no rotation with the same heats and runs can beat. */
export interface Criterion {
  readonly bound: number;
  readonly verdict: Verdict;
  readonly why: Why;
}

/**
 * Achieved fairness against proven bounds, of a whole night: heats that were run and heats to come. Each bound is for
 * `spread`, `sumSquares`, or the only figure there is.
 */
export interface Certificate {
  /** `spread`: largest difference between one driver's runs on two lanes in use, among those who still race. */
  readonly lanes: Criterion & { readonly spread: number };
  /**
   * Heats that two drivers share. `min` and `max` are over pairs who both still race, `sumSquares` and its bound over
   * all pairs of everybody who ran or will run. `spreadBound`: no rotation has a smaller max - min.
   *
   * `deviationHundredths`, only where drivers have unequal runs: sum over pairs of (meetings - target)^2, in hundredths
   * and rounded; targets are proportional to the product of the two drivers' runs and add up to all meetings.
   */
  readonly opponents: Criterion & {
    readonly min: number;
    readonly max: number;
    readonly sumSquares: number;
    readonly spreadBound: number;
    readonly deviationHundredths?: number;
  };
  /** `count`: runs that come in the heat straight after the same driver's last one. */
  readonly backToBack: Criterion & { readonly count: number };
  /** `longest`: most heats that somebody who still races waits in a row, before the first and after the last run
   * included. */
  readonly sitOut: Criterion & { readonly longest: number };
  /** Heats that two drivers spend on lanes side by side, over all pairs. */
  readonly neighbours: Criterion & { readonly max: number; readonly sumSquares: number };
  /** How often one driver takes over a lane from another in the next heat, over all ordered pairs. */
  readonly carryOver: Criterion & { readonly max: number; readonly sumSquares: number };
  /** Marshal duties a driver in the heats to come, exempt drivers left out. `shortage`: most marshals that are missing
   * in one heat. */
  readonly duty: Criterion & {
    readonly min: number;
    readonly max: number;
    readonly spread: number;
    readonly shortage: number;
  };
  /** `deviation`: sum over drivers of |2 x sum of their heat numbers - runs x (heats + 1)|; 0: all run mid-night. */
  readonly timeOfNight: Criterion & { readonly deviation: number };
}

/** A drawn rotation. */
export interface Rotation {
  /** Without the heats already run. One row a heat, one seat a lane of the track (index lane - 1); lanes out of use hold
   * null. */
  readonly heats: Seat[][];
  /** One row a heat: who marshals it. Shorter than wanted when too few sit out. */
  readonly marshals: Driver[][];
  /** The smallest number of heats that any rotation of this request needs. */
  readonly fewestHeats: number;
  readonly certificate: Certificate;
  /** Who is in which group, in the order in which they race; only where there are several. */
  readonly groups?: readonly (readonly Driver[])[];
  readonly seed: number;
  /** Name and version of the engine: the same engine and request give the same rotation. */
  readonly engine: string;
}

/** Largest values a request may hold. */
export const drawLimits = { drivers: 200, lanes: 16, runsPerLane: 20, marshals: 16, budgetMs: 60_000 } as const;

/** The usual stepping order: odd lanes up, then even lanes down, so that no step crosses more than two lanes. */
export function defaultLaneOrder(lanes: number): number[] {
  const all = Array.from({ length: lanes }, (_, i) => i + 1);
  return [...all.filter((lane) => lane % 2 === 1), ...all.filter((lane) => lane % 2 === 0).reverse()];
}

/** Completes a request: one run a lane, all lanes, no cap, no marshals, the step preset and the default lane order. */
export function drawRequest(given: Pick<DrawRequest, 'drivers' | 'lanes'> & Partial<DrawRequest>): DrawRequest {
  return {
    lanesOut: [],
    laneOrder: defaultLaneOrder(given.lanes),
    runsPerLane: 1,
    heats: null,
    carsPerHeat: null,
    marshals: 0,
    exempt: [],
    format: 'lanes',
    groups: 1,
    done: [],
    published: [],
    leave: [],
    join: [],
    duties: [],
    preset: 'step',
    seed: 1,
    budgetMs: 1000,
    steps: null,
    ...given,
  };
}

/** The lanes in use, in stepping order. */
export function steppingLanes(request: DrawRequest): number[] {
  return request.laneOrder.filter((lane) => !request.lanesOut.includes(lane));
}

/** The most cars one heat can hold: lanes in use, drivers and the wanted cap, whichever is least. */
export function mostCars(request: DrawRequest): number {
  const lanesInUse = request.lanes - new Set(request.lanesOut).size;
  return Math.min(lanesInUse, request.drivers.length, request.carsPerHeat ?? lanesInUse);
}

/**
 * Smallest number of heats in which every driver can run every lane in use `runsPerLane` times.
 *
 * Heats are the colours of a proper edge colouring of the bipartite needs graph drivers x lanes; D. König (1916): its
 * largest degree is enough. With at most s cars a heat also edges / s heats are needed, rounded up, and enough, as
 * heats can be made equally large (D. de Werra 1971).
 */
export function fewestHeats(request: DrawRequest): number {
  const drivers = request.drivers.length;
  const lanesInUse = request.lanes - new Set(request.lanesOut).size;
  const seats = request.runsPerLane * drivers * lanesInUse;
  return Math.max(request.runsPerLane * Math.max(drivers, lanesInUse), Math.ceil(seats / mostCars(request)));
}
