import { learningAt } from './club-columns.ts';
import type { ClubModel } from './club-model.ts';
import { Predictor } from './club-predict.ts';
import { type BlockSolution, cellEffects } from './club-solve.ts';
import type { HeatOfDriver } from './lap-table.ts';
import { driftAt } from './night-drift.ts';

/** What a fitted club expects of heats of the past. */
export class Expectation {
  readonly #model: ClubModel;
  readonly #predictor: Predictor;
  readonly #blocks: ReadonlyMap<string, BlockSolution>;
  /** Effects of a driver's cells, by night and class; made when first asked for. */
  readonly #cells = new Map<string, ReadonlyMap<string, number>>();
  readonly #levels = new Map<string, number>();
  readonly #lanes = new Map<string, number>();
  readonly #tracks = new Map<string, number>();
  readonly #classes = new Map<string, number>();
  readonly #grips = new Map<string, readonly [grip: number, drift: number]>();

  constructor(model: ClubModel) {
    this.#model = model;
    this.#predictor = new Predictor(model);
    this.#blocks = new Map(model.solution.blocks.map((solution) => [solution.block.driver, solution]));
    const { columns } = model.design;
    const effect = this.#effect;
    for (const { track, lane, logEffect } of this.#predictor.laneEffects())
      this.#lanes.set(`${lane} ${track}`, logEffect);
    for (const [i, track] of columns.tracks.entries()) this.#tracks.set(track, effect(columns.ofTrack[i]));
    for (const [i, name] of columns.classes.entries()) this.#classes.set(name, effect(columns.ofClass[i]));
    for (const [i, { night, track }] of columns.grips.entries()) {
      const at = columns.firstGrip + i * columns.perGrip;
      this.#grips.set(`${night} ${track}`, [effect(at), columns.perGrip === 2 ? effect(at + 1) : 0]);
    }
  }

  /** Clean log pace expected of a driver in a heat, with what other heats of that night tell; null of a stranger. */
  of(heat: HeatOfDriver): number | null {
    const own = this.#blocks.get(heat.driver);
    if (own === undefined) return null;
    const { design } = this.#model;
    const effect = this.#cellsOf(own).get(cellKey(heat.night, heat.carClass));
    const nightsAttended = this.#predictor.nightsBefore(heat.driver, heat.night);
    if (effect === undefined) {
      // Further back than the model looks.
      if (heat.night < (own.block.night[0] as number)) return null;
      return this.#levelOn(heat, nightsAttended) + this.conditions(heat);
    }
    const { junior, learning } = design.columns;
    const level = this.#classes.get(heat.carClass) ?? 0;
    const { block } = own;
    const shared = block.junior * (this.#effect(junior) + this.#effect(learning) * learningAt(nightsAttended));
    return design.centre + level + shared + effect + this.conditions(heat);
  }

  /** What track, lane, grip and drift add to log pace. */
  conditions({ track, lane, night, startS }: Pick<HeatOfDriver, 'track' | 'lane' | 'night' | 'startS'>): number {
    const [grip, drift] = this.#grips.get(`${night} ${track}`) ?? [0, 0];
    const gain = this.#effect(this.#model.design.columns.drift) + drift;
    return (this.#tracks.get(track) ?? 0) + (this.#lanes.get(`${lane} ${track}`) ?? 0) + grip - gain * driftAt(startS);
  }

  /** Level on a night none of whose heats could be used. */
  #levelOn({ driver, carClass, night }: HeatOfDriver, nightsAttended: number): number {
    const key = JSON.stringify([driver, carClass, night]);
    const level = this.#levels.get(key) ?? this.#predictor.logPace({ driver, carClass, nightsAttended });
    this.#levels.set(key, level);
    return level;
  }

  #cellsOf(solution: BlockSolution): ReadonlyMap<string, number> {
    const { block } = solution;
    const known = this.#cells.get(block.driver);
    if (known) return known;
    const { classes } = this.#model.design.columns;
    const effects = cellEffects(solution, this.#model.solution.beta);
    const cells = new Map<string, number>();
    for (let c = 0; c < block.cells; c++)
      cells.set(cellKey(block.night[c] as number, classes[block.carClass[c] as number] ?? ''), effects[c] as number);
    this.#cells.set(block.driver, cells);
    return cells;
  }

  readonly #effect = (column: number | null | undefined) =>
    column === null || column === undefined ? 0 : (this.#model.solution.beta[column] as number);
}

const cellKey = (night: number, carClass: string) => `${night} ${carClass}`;
