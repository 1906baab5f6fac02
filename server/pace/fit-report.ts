import { Expectation } from './club-expect.ts';
import type { ClubModel } from './club-model.ts';
import { Predictor, type RawLevel } from './club-predict.ts';
import type { CrashModel } from './crashes.ts';
import type { HeatSummary } from './heat-summary.ts';
import type { ClassPace, DriverFit, NightLevel, PaceFit } from './pace-fit.ts';

export interface FitParts {
  readonly seed: number;
  readonly inputsHash: string;
  readonly lastNight: number;
  readonly model: ClubModel;
  readonly summary: HeatSummary;
  readonly crashes: CrashModel;
}

/** Changes whenever the same laps could give another fit. */
export const paceEngine = 'pace-1';

const latestHeats = 20;
const latestNights = 12;
/** Before a night was driven. */
const noNight = 0;

/** What is kept of a fit: levels, spreads and the latest heats of every driver, and of newcomers. Yields often. */
export function* describingFit(parts: FitParts): Generator<void, PaceFit> {
  const { seed, inputsHash, lastNight, model, summary, crashes } = parts;
  const { columns, centre } = model.design;
  const effect = (column: number | null | undefined) =>
    column === null || column === undefined ? 0 : (model.solution.beta[column] as number);
  const people = new Describer(model, summary, crashes);
  return {
    engine: paceEngine,
    seed,
    inputsHash,
    lastNight,
    components: model.components,
    lanes: people.predictor.laneEffects(),
    tracks: columns.tracks.map((track, i) => ({ track, logEffect: effect(columns.ofTrack[i]) })),
    classes: columns.classes.map((carClass, i) => ({ carClass, logPace: centre + effect(columns.ofClass[i]) })),
    drift: effect(columns.drift),
    drivers: yield* people.everybody(),
    newcomers: people.newcomers(),
    pooled: { ...summary.pooled, ...crashes.pooled },
    past: { nights: yield* people.predictor.nightConditions(), learning: people.predictor.learning() },
  };
}

class Describer {
  readonly predictor: Predictor;
  readonly #model: ClubModel;
  readonly #summary: HeatSummary;
  readonly #crashes: CrashModel;
  readonly #expectation: Expectation;
  readonly #groups: ReadonlyMap<string, DriverFit['group']>;
  /** Mean gradient of the field of each class. */
  readonly #middles: readonly Float64Array[];
  /** Rows of the design of each driver in each class. */
  readonly #rows = new Map<string, number[]>();

  constructor(model: ClubModel, summary: HeatSummary, crashes: CrashModel) {
    this.#model = model;
    this.#summary = summary;
    this.#crashes = crashes;
    this.predictor = new Predictor(model);
    this.#expectation = new Expectation(model);
    this.#groups = new Map(model.drivers.map(({ driver, group }) => [driver, group]));
    model.design.rows.forEach(({ driver, carClass }, j) => {
      const key = rowsKey(driver, carClass);
      const own = this.#rows.get(key);
      if (own) own.push(j);
      else this.#rows.set(key, [j]);
    });
    this.#middles = model.design.columns.classes.map((carClass) => {
      const drivers = model.solution.blocks.map(({ block }) => block.driver);
      const field = drivers.filter((driver) => this.#rows.has(rowsKey(driver, carClass)));
      return this.predictor.middle(field.map((driver) => this.predictor.raw({ driver, carClass })));
    });
  }

  *everybody(): Generator<void, DriverFit[]> {
    const names = new Set([...this.#model.drivers.map(({ driver }) => driver), ...this.#model.attendance.keys()]);
    const out: DriverFit[] = [];
    for (const driver of [...names].sort()) {
      out.push(this.#described(driver, this.#groups.get(driver) ?? null));
      yield;
    }
    return out;
  }

  newcomers(): DriverFit[] {
    return (['junior', 'adult', null] as const).map((group) => this.#described('', group));
  }

  #described(driver: string, group: DriverFit['group']): DriverFit {
    const { classes } = this.#model.design.columns;
    const raws = classes.map((carClass) => this.predictor.raw({ driver, carClass, group }));
    const covariance = raws.map((one, i) =>
      raws.map((other, j) => {
        const middles = [this.#middles[i] as Float64Array, this.#middles[j] as Float64Array] as const;
        return i === j
          ? this.predictor.variance(one, middles[0])
          : this.predictor.covariance(group, one, other, middles);
      }),
    );
    const rate = this.#crashes.drivers.get(driver) ?? this.#crashes.newcomer.get(group);
    return {
      driver,
      group,
      nights: this.predictor.nightsBefore(driver),
      classes: raws.map((raw, i) => this.#classPace(driver, group, raw, this.#middles[i] as Float64Array)),
      covariance,
      lapSd: this.#summary.lapSd.get(driver) ?? this.#summary.pooled.lapSd,
      crash: { alpha: rate?.alpha ?? 1, beta: rate?.beta ?? 29 },
      nu: rate?.nu ?? this.#crashes.pooled.nu,
    };
  }

  #classPace(driver: string, group: DriverFit['group'], next: RawLevel, middle: Float64Array): ClassPace {
    const { carClass, logPace } = next;
    const { design } = this.#model;
    const variance = this.predictor.variance(next, middle);
    const own = this.#rows.get(rowsKey(driver, carClass)) ?? [];
    const heats = own.slice(-latestHeats).map((j) => {
      const row = design.rows[j] as (typeof design.rows)[number];
      return { night: row.night, logPace: row.y - this.#expectation.conditions(row), v: row.v };
    });
    const nights = [...new Set(own.map((j) => design.rows[j]?.night ?? noNight))].slice(-latestNights);
    const latest = nights.map((night): NightLevel => {
      const nightsBehind = this.predictor.nightsBefore(driver, night);
      const who = { driver, carClass, nightsAttended: nightsBehind };
      const raw = this.predictor.raw(who);
      const ownVariance = this.predictor.variance(raw, middle);
      const change = variance + ownVariance - 2 * this.predictor.covariance(group, next, raw, [middle, middle]);
      return {
        night,
        logPace: raw.logPace,
        shownLogPace: this.predictor.logPace({ ...who, upTo: night }),
        sd: Math.sqrt(ownVariance),
        changeSd: Math.sqrt(Math.max(0, change)),
        nightsBehind,
      };
    });
    return { carClass, logPace, sd: Math.sqrt(variance), heats: own.length, latestHeats: heats, latestNights: latest };
  }
}

const rowsKey = (driver: string, carClass: string) => JSON.stringify([driver, carClass]);
