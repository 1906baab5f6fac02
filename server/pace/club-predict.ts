import { learningAt } from './club-columns.ts';
import { juniorness } from './club-design.ts';
import type { ClubModel } from './club-model.ts';
import { type BlockSolution, kernelOf, whitened } from './club-solve.ts';
import { dot, solveLower } from './numeric/matrix.ts';
import type { LaneEffect, NightConditions, PastConditions } from './pace-fit.ts';

/** Whose pace is asked for. */
export interface Who {
  readonly driver: string;
  readonly carClass: string;
  /** Nights attended before the one asked for; without it, the next night the driver attends. */
  readonly nightsAttended?: number;
  /** Only the driver's own heats up to and with this night count; without it, all. */
  readonly upTo?: number;
  /** For somebody the model does not know. */
  readonly group?: 'junior' | 'adult' | null;
}

export interface Level {
  readonly driver: string;
  readonly carClass: string;
  /** Expected clean log pace on a usual night, lanes left out. */
  readonly logPace: number;
  /** Of `logPace` against the field: what all share, as the grip of the night, is left out. */
  readonly variance: number;
}

/** Log pace and what its variance is made of. */
export interface RawLevel {
  readonly logPace: number;
  /** Covariance kernel with the driver's cells, decorrelated; empty where there are none. */
  readonly known: Float64Array;
  readonly nightsAttended: number;
  readonly learning: number;
  readonly carClass: string;
  /** Variance of what the driver's own heats leave open. */
  readonly ownVariance: number;
  /** How the shared effects enter. */
  readonly gradient: Float64Array;
}

/**
 * Levels of drivers at the next night each attends, ability and class without form and heat; variances are against the
 * mean of all that are asked for. With X the shared effects, V the covariance of a driver's cells and k their covariance
 * with the level asked for, the level is x'b + k'V⁻¹(y - Xb) and its variance K - k'V⁻¹k + g'A⁻¹g, g = x - X'V⁻¹k, with the
 * mean of g over the field taken off (best linear unbiased prediction; C. R. Henderson, Biometrics 31, 1975, 423-447).
 */
export function predictLevels(model: ClubModel, field: readonly Who[]): Level[] {
  const predictor = new Predictor(model);
  const raws = field.map((who) => predictor.raw(who));
  const middle = predictor.middle(raws);
  return field.map(({ driver, carClass }, i) => {
    const raw = raws[i] as RawLevel;
    return { driver, carClass, logPace: raw.logPace, variance: predictor.variance(raw, middle) };
  });
}

export class Predictor {
  readonly #model: ClubModel;
  readonly #blocks: ReadonlyMap<string, BlockSolution>;
  readonly #whitened = new Map<string, Float64Array>();
  readonly #classAt: ReadonlyMap<string, number>;
  readonly #groups: ReadonlyMap<string, 'junior' | 'adult' | null>;
  readonly #before: ReadonlyMap<string, number>;

  constructor(model: ClubModel) {
    this.#model = model;
    this.#blocks = new Map(model.solution.blocks.map((solution) => [solution.block.driver, solution]));
    this.#classAt = new Map(model.design.columns.classes.map((name, i) => [name, i]));
    this.#groups = new Map(model.drivers.map(({ driver, group }) => [driver, group]));
    this.#before = new Map(model.drivers.map(({ driver, nightsBefore }) => [driver, nightsBefore]));
  }

  /** Nights a driver attended before a night; without one, all. */
  nightsBefore(driver: string, night = Number.POSITIVE_INFINITY): number {
    const before = this.#before.get(driver) ?? 0;
    const nights = this.#model.attendance.get(driver) ?? [];
    let [from, to] = [0, nights.length];
    while (from < to) {
      const middle = (from + to) >> 1;
      if ((nights[middle] as number) < night) from = middle + 1;
      else to = middle;
    }
    return (Number.isFinite(before) ? Math.max(0, before) : 0) + from;
  }

  /** Log pace with what its variance is made of. */
  raw(who: Who): RawLevel {
    const level = this.#level(who);
    const own = this.#blocks.get(who.driver);
    if (own === undefined) return level;
    const { gradient, known } = level;
    const { columns } = own.block;
    for (let c = 0; c < columns.length; c++) {
      const column = columns[c] as number;
      gradient[column] = (gradient[column] as number) - dot(own.z, known, known.length, c * known.length);
    }
    return level;
  }

  logPace(who: Who): number {
    return this.#level(who).logPace;
  }

  /** The gradient is that of the shared effects alone. */
  #level(who: Who): RawLevel {
    const { design, solution } = this.#model;
    const { columns } = design;
    const { upTo } = who;
    const group = this.#groups.get(who.driver) ?? who.group ?? null;
    const junior = juniorness(group, design.juniorShare);
    const k = who.nightsAttended ?? this.nightsBefore(who.driver);
    const e = junior * learningAt(k);
    const gradient = new Float64Array(columns.count);
    const carClass = this.#classAt.get(who.carClass) ?? -1;
    this.#putClass(gradient, carClass);
    if (columns.junior !== null) gradient[columns.junior] = junior;
    if (columns.learning !== null) gradient[columns.learning] = e;

    const kernel = kernelOf(solution.components, { junior, groupKnown: group !== null });
    let ownVariance = kernel.ability(k, k, e, e, true);
    let logPace = design.centre + dot(gradient, solution.beta, columns.count);
    const own = this.#blocks.get(who.driver);
    const known = new Float64Array(own?.block.cells ?? 0);
    if (own) {
      const { block, l } = own;
      for (let c = 0; c < block.cells; c++) {
        const sameClass = block.carClass[c] === carClass;
        known[c] = kernel.ability(k, block.attended[c] as number, e, block.learning[c] as number, sameClass);
      }
      solveLower(l, block.cells, known);
      // The decomposition of the first cells is the first part of that of all, so later nights are left out by stopping.
      const cells = upTo === undefined ? block.cells : block.night.filter((night) => night <= upTo).length;
      logPace += dot(known, this.#whitenedOf(own), cells);
      ownVariance -= dot(known, known, cells);
    }
    const rest = { nightsAttended: k, learning: e, carClass: who.carClass };
    return { logPace, known, ...rest, ownVariance: Math.max(ownVariance, 0), gradient };
  }

  #whitenedOf(own: BlockSolution): Float64Array {
    const { driver } = own.block;
    const known = this.#whitened.get(driver) ?? whitened(own, this.#model.solution.beta);
    this.#whitened.set(driver, known);
    return known;
  }

  /** A class nobody has driven is taken to be like the mean of the others. */
  #putClass(gradient: Float64Array, carClass: number) {
    const { ofClass } = this.#model.design.columns;
    if (carClass >= 0) {
      const column = ofClass[carClass];
      if (column !== null && column !== undefined) gradient[column] = 1;
      return;
    }
    for (const column of ofClass) if (column !== null) gradient[column] = 1 / ofClass.length;
  }

  /** Mean gradient of a field. */
  middle(raws: readonly RawLevel[]): Float64Array {
    const out = new Float64Array(this.#model.design.columns.count);
    for (const { gradient } of raws)
      for (let i = 0; i < out.length; i++) out[i] = (out[i] as number) + (gradient[i] as number) / raws.length;
    return out;
  }

  /** Variance of a level against a field with this mean gradient. */
  variance({ ownVariance, gradient }: RawLevel, middle: Float64Array): number {
    const off = this.#decorrelated(gradient.map((value, c) => value - (middle[c] as number)));
    return ownVariance + dot(off, off, off.length);
  }

  /** Covariance of two levels of one driver in different classes on one night, each against its field. */
  covariance(
    group: 'junior' | 'adult' | null,
    one: RawLevel,
    other: RawLevel,
    middles: readonly [Float64Array, Float64Array],
  ): number {
    const junior = juniorness(group, this.#model.design.juniorShare);
    const kernel = kernelOf(this.#model.solution.components, { junior, groupKnown: group !== null });
    const { nightsAttended: k, learning } = one;
    const own = kernel.ability(k, other.nightsAttended, learning, other.learning, one.carClass === other.carClass);
    const offs = [one, other].map(({ gradient }, i) =>
      this.#decorrelated(gradient.map((value, c) => value - (middles[i]?.[c] as number))),
    ) as [Float64Array, Float64Array];
    return own - dot(one.known, other.known, one.known.length) + dot(...offs, offs[0].length);
  }

  #decorrelated(gradient: Float64Array): Float64Array {
    solveLower(this.#model.solution.a, gradient.length, gradient);
    return gradient;
  }

  /** Log effects of lanes; each track's add up to 0. */
  laneEffects(): LaneEffect[] {
    const { columns } = this.#model.design;
    const { beta } = this.#model.solution;
    return [...columns.lanes].flatMap(([track, lanes]) => {
      const ofLane = columns.ofLane.get(track) ?? [];
      return lanes.map((lane, i) => {
        const gradient = new Float64Array(beta.length);
        const last = i === lanes.length - 1;
        for (const [c, column] of ofLane.entries()) if (column !== null) gradient[column] = last ? -1 : c === i ? 1 : 0;
        const logEffect = dot(gradient, beta, beta.length);
        const off = this.#decorrelated(gradient);
        return { track, lane, logEffect, sd: Math.sqrt(dot(off, off, off.length)) };
      });
    });
  }

  /** Grip and drift of every night. Yields after each. */
  *nightConditions(): Generator<void, NightConditions[]> {
    const { columns } = this.#model.design;
    const { beta } = this.#model.solution;
    const { grips, firstGrip, perGrip } = columns;
    const out: NightConditions[] = [];
    for (const [i, { night, track }] of grips.entries()) {
      const at = firstGrip + i * perGrip;
      const ofGrip = new Float64Array(beta.length);
      for (let other = 0; other < grips.length; other++) ofGrip[firstGrip + other * perGrip] = -1 / grips.length;
      ofGrip[at] = (ofGrip[at] as number) + 1;
      const ofGain = new Float64Array(beta.length);
      if (columns.drift !== null) ofGain[columns.drift] = 1;
      if (perGrip === 2) ofGain[at + 1] = 1;
      const [grip, gain] = [dot(ofGrip, beta, beta.length), dot(ofGain, beta, beta.length)];
      this.#decorrelated(ofGrip);
      this.#decorrelated(ofGain);
      const product = (one: Float64Array, other: Float64Array) => dot(one, other, beta.length);
      const covariance = [product(ofGrip, ofGrip), product(ofGrip, ofGain), product(ofGain, ofGain)] as const;
      out.push({ night, track, grip, gain, covariance });
      yield;
    }
    return out;
  }

  /** The mean learning of juniors; null where there are none to tell it from. */
  learning(): PastConditions['learning'] {
    const { learning } = this.#model.design.columns;
    if (learning === null) return null;
    const { beta } = this.#model.solution;
    const off = new Float64Array(beta.length);
    off[learning] = 1;
    this.#decorrelated(off);
    return { mean: beta[learning] as number, sd: Math.sqrt(dot(off, off, off.length)) };
  }
}
