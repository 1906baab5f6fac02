import { juniorness, learningAt } from './club-design.ts';
import type { ClubModel } from './club-model.ts';
import { type BlockSolution, kernelOf, whitened } from './club-solve.ts';
import { dot, solveLower } from './numeric/matrix.ts';

/** Whose pace is asked for. */
export interface Who {
  readonly driver: string;
  readonly carClass: string;
  /** Nights attended before the one asked for; without it, the next night the driver attends. */
  readonly nightsAttended?: number;
}

export interface Level {
  readonly driver: string;
  readonly carClass: string;
  /** Expected clean log pace on a usual night, lanes left out. */
  readonly logPace: number;
  /** Of `logPace` against the field: what all share, as the grip of the night, is left out. */
  readonly variance: number;
}

/** Log pace and what it rests on: the shared effects enter with `gradient`. */
interface Raw {
  readonly logPace: number;
  readonly ownVariance: number;
  readonly gradient: Float64Array;
}

/**
 * Levels of drivers at the next night each attends, ability and class without form and heat; variances are against the
 * mean of all that are asked for.
 */
export function predictLevels(model: ClubModel, field: readonly Who[]): Level[] {
  const predictor = new Predictor(model);
  const raws = field.map((who) => predictor.raw(who));
  const middle = new Float64Array(model.solution.beta.length);
  for (const { gradient } of raws)
    for (let i = 0; i < middle.length; i++) middle[i] = (middle[i] as number) + (gradient[i] as number) / field.length;
  return field.map(({ driver, carClass }, i) => {
    const { logPace, ownVariance, gradient } = raws[i] as Raw;
    const off = gradient.map((value, c) => value - (middle[c] as number));
    return { driver, carClass, logPace, variance: ownVariance + predictor.sharedVariance(off) };
  });
}

export class Predictor {
  readonly #model: ClubModel;
  readonly #blocks: ReadonlyMap<string, BlockSolution>;
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

  nightsAttended(driver: string): number {
    const before = this.#before.get(driver) ?? 0;
    return (Number.isFinite(before) ? Math.max(0, before) : 0) + (this.#model.attendance.get(driver)?.length ?? 0);
  }

  raw(who: Who): Raw {
    const { design, solution } = this.#model;
    const { columns } = design;
    const group = this.#groups.get(who.driver) ?? null;
    const junior = juniorness(group, design.juniorShare);
    const k = who.nightsAttended ?? this.nightsAttended(who.driver);
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
    if (own) {
      const { block, l, z } = own;
      const n = block.cells;
      const toCells = Float64Array.from({ length: n }, (_, c) => {
        const sameClass = block.carClass[c] === carClass;
        return kernel.ability(k, block.attended[c] as number, e, block.learning[c] as number, sameClass);
      });
      solveLower(l, n, toCells);
      logPace += dot(toCells, whitened(own, solution.beta), n);
      ownVariance -= dot(toCells, toCells, n);
      for (let c = 0; c < block.columns.length; c++) {
        const column = block.columns[c] as number;
        gradient[column] = (gradient[column] as number) - dot(z, toCells, n, c * n);
      }
    }
    return { logPace, ownVariance: Math.max(ownVariance, 0), gradient };
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

  /** Variance of a combination of shared effects. */
  sharedVariance(gradient: Float64Array): number {
    const { a, beta } = this.#model.solution;
    const z = gradient.slice();
    solveLower(a, beta.length, z);
    return dot(z, z, beta.length);
  }
}

/** Log effects of lanes; each track's add up to 0. */
export function laneEffects(model: ClubModel) {
  const { columns } = model.design;
  const { beta } = model.solution;
  const predictor = new Predictor(model);
  return [...columns.lanes].flatMap(([track, lanes]) => {
    const ofLane = columns.ofLane.get(track) ?? [];
    return lanes.map((lane, i) => {
      const gradient = new Float64Array(beta.length);
      const last = i === lanes.length - 1;
      for (const [c, column] of ofLane.entries()) if (column !== null) gradient[column] = last ? -1 : c === i ? 1 : 0;
      const logEffect = dot(gradient, beta, beta.length);
      return { track, lane, logEffect, sd: Math.sqrt(predictor.sharedVariance(gradient)) };
    });
  });
}
