import { heatWeight } from './club-model.ts';
import type { HeatRow } from './heat-row.ts';
import type { HeatOfDriver } from './lap-table.ts';
import { driftAt } from './night-drift.ts';
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
  readonly level: number;
  readonly grip: number;
  readonly f: number;
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
 * filter. Method: R. E. Kalman, J. Basic Eng. 82, 1960, 35-45, with scalar observations.
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
  #size = 0;
  #room = 0;
  #mean = new Float64Array(0);
  /** Row by row, `#room` wide; symmetric. */
  #covariance = new Float64Array(0);

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
    const place = { level: this.#levelOf(row), grip: this.#gripOf(track), f: driftAt(startS) };
    const conditions = this.#conditions(track, lane) - place.f * this.#fit.drift;
    const laneVariance = (this.#lanes.get(laneKey(track, lane))?.sd ?? unknownLaneSd) ** 2;
    const variance = this.#fit.components.tau ** 2 + v;
    const heat: HeatSeen = { ...place, y: y - conditions, variance, laneVariance, precision: 0 };
    this.#weigh(heat, weightOf(heat.y - this.#meanAt(heat), this.#spreadAt(heat), variance));
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
    // Less weight than before is the same heat seen with negative precision.
    const n = this.#size;
    const [p, room] = [this.#covariance, this.#room];
    const ph = this.#timesCovariance(heat);
    const off = heat.y - this.#meanAt(heat);
    const total = this.#along(ph, heat) + 1 / added;
    for (let i = 0; i < n; i++) {
      const gain = (ph[i] as number) / total;
      this.#mean[i] = (this.#mean[i] as number) + gain * off;
      for (let j = 0; j < n; j++) p[i * room + j] = (p[i * room + j] as number) - gain * (ph[j] as number);
    }
    heat.precision = precision;
  }

  #weighAgain(heat: HeatSeen): void {
    const left = heat.y - this.#meanAt(heat);
    this.#weigh(heat, heatWeight(left, heat.variance));
  }

  /** Covariance times the row of a heat: 1 on the level, 1 on the grip, -f on the drift. */
  #timesCovariance({ level, grip, f }: HeatSeen): Float64Array {
    const [p, room] = [this.#covariance, this.#room];
    const out = new Float64Array(this.#size);
    for (let i = 0; i < out.length; i++) {
      const at = i * room;
      out[i] = (p[at + level] as number) + (p[at + grip] as number) - f * (p[at + grip + 1] as number);
    }
    return out;
  }

  #along(x: Float64Array, { level, grip, f }: HeatSeen): number {
    return (x[level] as number) + (x[grip] as number) - f * (x[grip + 1] as number);
  }

  #meanAt = (heat: HeatSeen) => this.#along(this.#mean, heat);
  #spreadAt = (heat: HeatSeen) => this.#along(this.#timesCovariance(heat), heat);

  /** Levels of everybody present, against each other. */
  levels(): TonightLevel[] {
    const all = [...this.#levels.values()].filter(({ present }) => present);
    const variances = this.#againstEachOther(all.map(({ at }) => at));
    return all.map(({ who, at }, i) => ({
      ...who,
      logPace: this.#mean[at] as number,
      variance: variances[i] as number,
    }));
  }

  /** Log pace expected in a heat of tonight, for reading its laps; null of somebody not seen yet and little known. */
  expected({ driver, carClass, track, lane, startS }: HeatOfDriver): number | null {
    const level = this.#levelOf({ driver, carClass });
    const known = this.#seen.has(driver) || (this.#covariance[level * this.#room + level] as number) < knownSd ** 2;
    return known ? this.#expected(level, this.#gripOf(track), track, lane, driftAt(startS)) : null;
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
        logPace: this.#expected(places[i] as number, this.#gripOf(track), track, lane, driftAt(startS)),
        variance: (variances[i] as number) + this.#fit.components.tau ** 2 + sd ** 2,
        lapSd: known?.lapSd ?? lapSd,
        rho,
        crash: known?.crash ?? { alpha: 1, beta: 29 },
        nu: known?.nu ?? nu,
        omega,
      };
    });
  }

  #expected(level: number, grip: number, track: string, lane: number, f: number): number {
    const drift = this.#fit.drift + (this.#mean[grip + 1] as number);
    return (this.#mean[level] as number) + (this.#mean[grip] as number) - f * drift + this.#conditions(track, lane);
  }

  #conditions(track: string, lane: number): number {
    return (this.#tracks.get(track) ?? 0) + (this.#lanes.get(laneKey(track, lane))?.logEffect ?? 0);
  }

  /**
   * Variances for levels taken as independent, such that the difference of each to the others varies on average as it does:
   * with m the mean covariance of one with the others and c that of all pairs, variance - 2 m + c.
   */
  #againstEachOther(places: readonly number[]): number[] {
    const n = places.length;
    const at = (i: number, j: number) => this.#covariance[i * this.#room + j] as number;
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
      const at = this.#grow(pace.logPace, pace.sd ** 2 + r2);
      // Half of the form of a night is of all classes.
      for (const [j, other] of own.entries())
        this.#setCovariance(at, other.at, (fit?.covariance[i]?.[j] ?? 0) + r2 / 2);
      own.push({ who: { driver, carClass: pace.carClass, group }, at, prior: pace.logPace, present: false });
    }
    for (const level of own) this.#levels.set(levelKey(level.who), level);
    this.#joined.set(driver, own);
  }

  /** A class the fit does not know: as the driver's first, and something of its own. */
  #strangeClass(who: Present): Level {
    const own = this.#joined.get(who.driver) ?? [];
    const [like] = own;
    const at = like ? this.#grow(0, 0) : this.#grow(unknownLogPace, unknownSd ** 2);
    const prior = like ? mean(own.map((level) => level.prior)) : unknownLogPace;
    if (like) {
      this.#mean[at] = (this.#mean[like.at] as number) + prior - like.prior;
      for (let i = 0; i < at; i++) this.#setCovariance(at, i, this.#covariance[like.at * this.#room + i] as number);
      const variance = this.#covariance[like.at * this.#room + like.at] as number;
      this.#covariance[at * this.#room + at] = variance + unknownClassSd ** 2;
    }
    const level = { who: { ...who, group: who.group ?? null }, at, prior, present: true };
    this.#levels.set(levelKey(who), level);
    this.#joined.set(who.driver, [...own, level]);
    return level;
  }

  #gripOf(track: string): number {
    const found = this.#grips.get(track);
    if (found !== undefined) return found;
    const { s, g } = this.#fit.components;
    const at = this.#grow(0, s ** 2);
    this.#grow(0, g ** 2);
    this.#grips.set(track, at);
    return at;
  }

  /** One more number in the state, not correlated with those there. */
  #grow(mean: number, variance: number): number {
    if (this.#size === this.#room) {
      const room = Math.max(16, 2 * this.#room);
      const covariance = new Float64Array(room * room);
      for (let i = 0; i < this.#size; i++)
        covariance.set(this.#covariance.subarray(i * this.#room, i * this.#room + this.#size), i * room);
      const means = new Float64Array(room);
      means.set(this.#mean);
      [this.#room, this.#covariance, this.#mean] = [room, covariance, means];
    }
    const at = this.#size++;
    this.#mean[at] = mean;
    this.#covariance[at * this.#room + at] = variance;
    return at;
  }

  #setCovariance(i: number, j: number, value: number) {
    this.#covariance[i * this.#room + j] = value;
    this.#covariance[j * this.#room + i] = value;
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
