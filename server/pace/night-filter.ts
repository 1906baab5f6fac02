import { heatWeight } from './club-model.ts';
import type { HeatRow } from './heat-row.ts';
import type { HeatOfDriver } from './lap-table.ts';
import { driftAt } from './night-drift.ts';
import { type Combination, JointNormal } from './numeric/joint-normal.ts';
import { mean } from './numeric/moments.ts';
import type { DriverFit, PaceFit, Starter } from './pace-fit.ts';

/** Somebody who races tonight, in one class. */
export interface Present {
  readonly driver: string;
  readonly carClass: string;
  /** For drivers the fit does not know. */
  readonly group?: DriverFit['group'];
}

/** A place in a heat to come. */
export interface Seat extends Present {
  readonly track: string;
  readonly lane: number;
  /** Start of the heat, in seconds from the start of the first heat of the night. */
  readonly startS: number;
}

export interface TonightLevel extends Present {
  /** Clean log pace tonight, form included; lane, track and the night's grip left out. */
  readonly logPace: number;
  /** Variance of `logPace` against the others present. */
  readonly variance: number;
}

/** A heat taken in; `y` without what lane, track and the usual drift do. */
interface HeatSeen {
  readonly of: Combination;
  readonly y: number;
  readonly variance: number;
  readonly laneVariance: number;
  /** With which it stands in the state. */
  precision: number;
}

/** A driver's level in one class. */
interface Level {
  readonly who: Present;
  /** Place in the state. */
  readonly at: number;
  /** Expected before tonight. */
  readonly prior: number;
  /** Whether anybody asked for it, or drove. */
  present: boolean;
}

/** What a lane nobody has driven may add. */
const unknownLaneSd = 0.01;
/** A stranger's level before his first lap says too little to judge laps by it. */
const knownSd = 0.03;

/**
 * What is known of everybody's pace tonight, heat by heat: the state is each driver's level tonight in each class, ability
 * and form, and grip and drift of each track, jointly normal; a heat updates all of it at once.
 *
 * It starts from a fit and agrees with a fit of all heats up to and with tonight's, but for what tonight changes in the
 * fit's components. It is never edited backwards: where a heat is corrected, the heats of the night are told again to a new
 * filter.
 */
export class NightFilter {
  readonly #fit: PaceFit;
  readonly #drivers: ReadonlyMap<string, DriverFit>;
  readonly #lanes: ReadonlyMap<string, { readonly logEffect: number; readonly sd: number }>;
  readonly #tracks: ReadonlyMap<string, number>;
  readonly #seen = new Map<string, HeatSeen[]>();
  /** Places in the state: levels by driver and class, grips by track (drift follows grip). */
  readonly #levels = new Map<string, Level>();
  readonly #joined = new Map<string, readonly Level[]>();
  readonly #grips = new Map<string, number>();
  readonly #state = new JointNormal();

  constructor(fit: PaceFit, present: readonly Present[]) {
    this.#fit = fit;
    this.#drivers = new Map(fit.drivers.map((driver) => [driver.driver, driver]));
    this.#lanes = new Map(fit.lanes.map((lane) => [laneKey(lane.track, lane.lane), lane]));
    this.#tracks = new Map(fit.tracks.map(({ track, logEffect }) => [track, logEffect]));
    for (const who of present) this.#levelOf(who);
  }

  /** Takes in a heat of tonight. A driver or track not named before joins. Rows with unusable numbers are passed over. */
  update(row: HeatRow): void {
    const { y, v, startS, track, lane, driver } = row;
    if (!(Number.isFinite(y) && Number.isFinite(v) && v >= 0 && Number.isFinite(startS))) return;
    const heat: HeatSeen = {
      of: this.#combination(this.#levelOf(row), track, startS),
      y: y - this.#conditions(track, lane, startS),
      variance: this.#fit.components.tau ** 2 + v,
      laneVariance: (this.#lanes.get(laneKey(track, lane))?.sd ?? unknownLaneSd) ** 2,
      precision: 0,
    };
    const off = heat.y - this.#state.meanOf(heat.of);
    this.#weigh(heat, weightOf(off, this.#state.varianceOf(heat.of), heat.variance));
    const own = this.#seen.get(driver);
    if (own === undefined) this.#seen.set(driver, [heat]);
    else {
      own.push(heat);
      // What was a slow heat may look otherwise now.
      for (let round = 0; round < 2; round++) for (const each of own) this.#weighAgain(each);
    }
  }

  /** Gives a heat this weight, whatever it had. */
  #weigh(heat: HeatSeen, weight: number): void {
    const precision = 1 / (heat.variance / weight + heat.laneVariance);
    const added = precision - heat.precision;
    if (!(Math.abs(added) > 0.005 * precision)) return;
    this.#state.observe(heat.of, heat.y, added);
    heat.precision = precision;
  }

  #weighAgain(heat: HeatSeen): void {
    this.#weigh(heat, heatWeight(heat.y - this.#state.meanOf(heat.of), heat.variance));
  }

  /** Levels of everybody present, against each other. */
  levels(): TonightLevel[] {
    const all = [...this.#levels.values()].filter(({ present }) => present);
    const variances = this.#againstEachOther(all.map(({ at }) => at));
    return all.map(({ who, at }, i) => ({
      ...who,
      logPace: this.#state.mean(at),
      variance: variances[i] as number,
    }));
  }

  /** Log pace expected in a heat of tonight, for reading its laps; null of somebody not seen yet and little known. */
  expected({ driver, carClass, track, lane, startS }: HeatOfDriver): number | null {
    const level = this.#levelOf({ driver, carClass });
    const known = this.#seen.has(driver) || this.#state.covariance(level, level) < knownSd ** 2;
    return known ? this.#expected(level, track, lane, startS) : null;
  }

  /** The cars of a heat to come, as the planner takes them; what all share of uncertainty is left out. */
  starters(seats: readonly Seat[]): Starter[] {
    const places = seats.map((seat) => this.#levelOf(seat));
    const variances = this.#againstEachOther(places);
    const { lapSd, rho, nu, omega } = this.#fit.pooled;
    return seats.map((seat, i) => {
      const { driver, track, lane, startS } = seat;
      const known = this.#driverOf(seat);
      const sd = this.#lanes.get(laneKey(track, lane))?.sd ?? unknownLaneSd;
      return {
        driver,
        logPace: this.#expected(places[i] as number, track, lane, startS),
        variance: (variances[i] as number) + this.#fit.components.tau ** 2 + sd ** 2,
        lapSd: known?.lapSd ?? lapSd,
        rho,
        crash: known?.crash ?? { alpha: 1, beta: 29 },
        nu: known?.nu ?? nu,
        omega,
      };
    });
  }

  #expected(level: number, track: string, lane: number, startS: number): number {
    return this.#state.meanOf(this.#combination(level, track, startS)) + this.#conditions(track, lane, startS);
  }

  /** Level, grip and drift as they enter a heat. */
  #combination(level: number, track: string, startS: number): Combination {
    const grip = this.#gripOf(track);
    return { at: [level, grip, grip + 1], factor: [1, 1, -driftAt(startS)] };
  }

  /** What the fit knows a place in the night adds. */
  #conditions(track: string, lane: number, startS: number): number {
    const effect = (this.#tracks.get(track) ?? 0) + (this.#lanes.get(laneKey(track, lane))?.logEffect ?? 0);
    return effect - this.#fit.drift * driftAt(startS);
  }

  /**
   * Variances for levels taken as independent, such that the difference of each to the others varies on average as it does:
   * with m the mean covariance of one with the others and c that of all pairs, variance - 2 m + c.
   */
  #againstEachOther(places: readonly number[]): number[] {
    const n = places.length;
    const at = (i: number, j: number) => this.#state.covariance(i, j);
    if (n < 2) return places.map((i) => at(i, i));
    const means = places.map((i, a) => {
      let sum = 0;
      for (const [b, j] of places.entries()) if (b !== a) sum += at(i, j);
      return sum / (n - 1);
    });
    const all = means.reduce((sum, mean) => sum + mean, 0) / n;
    return places.map((i, a) => Math.max(0, at(i, i) - 2 * (means[a] as number) + all));
  }

  #driverOf({ driver, group = null }: Present): DriverFit | undefined {
    return this.#drivers.get(driver) ?? this.#fit.newcomers.find((newcomer) => newcomer.group === group);
  }

  /** Place of a level in the state. Whoever is new joins with all his classes, as a heat in one tells of the others. */
  #levelOf(who: Present): number {
    const key = levelKey(who);
    if (!this.#levels.has(key)) this.#join(who);
    const level = this.#levels.get(key) ?? this.#strangeClass(who);
    level.present = true;
    return level.at;
  }

  #join({ driver, carClass, group = null }: Present): void {
    if (this.#joined.has(driver)) return;
    const fit = this.#driverOf({ driver, carClass, group });
    const r2 = this.#fit.components.r ** 2;
    const own: Level[] = [];
    for (const [i, pace] of (fit?.classes ?? []).entries()) {
      const at = this.#state.add(pace.logPace, pace.sd ** 2 + r2);
      // Half of the form of a night is of all classes.
      for (const [j, other] of own.entries())
        this.#state.setCovariance(at, other.at, (fit?.covariance[i]?.[j] ?? 0) + r2 / 2);
      own.push({ who: { driver, carClass: pace.carClass, group }, at, prior: pace.logPace, present: false });
    }
    for (const level of own) this.#levels.set(levelKey(level.who), level);
    this.#joined.set(driver, own);
  }

  /** A class the fit does not know: as the driver's first, and something of its own. */
  #strangeClass(who: Present): Level {
    const own = this.#joined.get(who.driver) ?? [];
    const [like] = own;
    const prior = like ? mean(own.map((level) => level.prior)) : unknownLogPace;
    const at = like
      ? this.#state.addLike(like.at, prior - like.prior, unknownClassSd ** 2)
      : this.#state.add(prior, unknownSd ** 2);
    const level = { who: { ...who, group: who.group ?? null }, at, prior, present: true };
    this.#levels.set(levelKey(who), level);
    this.#joined.set(who.driver, [...own, level]);
    return level;
  }

  #gripOf(track: string): number {
    const found = this.#grips.get(track);
    if (found !== undefined) return found;
    const { s, g } = this.#fit.components;
    const at = this.#state.add(0, s ** 2);
    this.#state.add(0, g ** 2);
    this.#grips.set(track, at);
    return at;
  }
}

/**
 * Weight of a heat by how much of its distance from what was expected will stay when it has been taken in. Weight and rest
 * depend on each other; a few rounds settle them.
 */
function weightOf(off: number, spread: number, variance: number): number {
  let weight = 1;
  for (let round = 0; round < 5; round++) {
    const noise = variance / weight;
    weight = heatWeight((off * noise) / (spread + noise), variance);
  }
  return weight;
}

/** Where nobody has ever driven: laps of ten seconds, or of five or twenty. */
const unknownLogPace = Math.log(10);
const unknownSd = 0.7;
/** How much a class nobody has driven may differ from the others. */
const unknownClassSd = 0.3;

const laneKey = (track: string, lane: number) => `${lane} ${track}`;
const levelKey = ({ driver, carClass }: Present) => JSON.stringify([driver, carClass]);
