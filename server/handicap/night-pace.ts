import type { HeatRow } from '../pace/heat-row.ts';
import { summariseHeats } from '../pace/heat-summary.ts';
import type { LapRow } from '../pace/lap-row.ts';
import { NightFilter } from '../pace/night-filter.ts';
import type { ClassPace, DriverFit, PaceFit, Starter } from '../pace/pace-fit.ts';
import { type GuardedPace, guardedPace, type ShownHeat, type SlowGuardOptions, shownPace } from '../pace/slow-guard.ts';

/** What is known of a driver beside laps. */
export interface DriverFacts {
  readonly group: DriverFit['group'];
  /** Day from which on low marks count, as days since 1970; null: all of them. */
  readonly resetDay: number | null;
}

/** Everything that tonight's handicaps follow from. */
export interface NightFacts {
  readonly fit: PaceFit;
  /** Laps of tonight's confirmed heats, heat by heat, in the order in which they were started. */
  readonly heats: readonly (readonly LapRow[])[];
  readonly drivers: ReadonlyMap<string, DriverFacts>;
  /** Day of a night of the fit; null where nobody knows. */
  readonly dayOf: (night: number) => number | null;
  readonly today: number | null;
  /** How far handicaps follow slowness; as usual where left out. */
  readonly guard?: SlowGuardOptions;
}

/** A place in a heat to come. */
export interface HeatPlace {
  readonly driver: string;
  readonly carClass: string;
  readonly track: string;
  readonly lane: number;
  readonly startS: number;
}

export interface NightStarter {
  /** With the pace for handicaps, which is never slower than the one expected. */
  readonly starter: Starter;
  readonly by: GuardedPace['by'];
  readonly provisional: boolean;
}

const fewHeats = 3;
const sureSd = 0.012;

/**
 * Tonight's pace of everybody: the fit of all nights before, brought up to now by the heats confirmed tonight. It is made
 * anew from the same facts each time, so every process says the same, and a corrected heat leaves no trace of what it was.
 */
export class NightPace {
  readonly #facts: NightFacts;
  readonly #filter: NightFilter;
  /** Tonight's heats by driver and class. */
  readonly #rows = new Map<string, HeatRow[]>();

  constructor(facts: NightFacts) {
    this.#facts = facts;
    const { fit } = facts;
    this.#filter = new NightFilter(fit, []);
    const lapSd = new Map(fit.drivers.map((driver) => [driver.driver, driver.lapSd]));
    const known = { pooled: fit.pooled, lapSd };
    for (const laps of facts.heats) {
      const { rows } = summariseHeats(laps, { expected: (heat) => this.#filter.expected(heat), known });
      for (const row of rows) {
        this.#filter.update(row);
        const key = keyOf(row);
        this.#rows.set(key, [...(this.#rows.get(key) ?? []), row]);
      }
    }
  }

  /** When the latest of tonight's heats was started, in seconds from the first one. */
  get lastStartS(): number {
    return Math.max(0, ...this.#facts.heats.map(([lap]) => lap?.startS ?? 0));
  }

  /** Whether anything was ever seen of a driver, in any class. */
  isKnown(driver: string): boolean {
    const fitted = this.#facts.fit.drivers.find((each) => each.driver === driver);
    const heats = fitted?.classes.reduce((sum, pace) => sum + pace.heats, 0) ?? 0;
    return heats > 0 || [...this.#rows.values()].some(([row]) => row?.driver === driver);
  }

  /** The cars of a heat to come, in the order of its places. */
  starters(places: readonly HeatPlace[]): NightStarter[] {
    const seats = places.map((place) => ({ ...place, group: this.#facts.drivers.get(place.driver)?.group ?? null }));
    const starters = this.#filter.starters(seats);
    const levels = new Map(this.#filter.levels().map((level) => [keyOf(level), level]));
    return starters.map((starter, i) => {
      const place = places[i] as HeatPlace;
      const level = levels.get(keyOf(place));
      const pace = this.#classPace(place);
      const tonight = this.#rows.get(keyOf(place)) ?? [];
      const guarded = level && this.#guarded(place, pace, level.logPace, tonight);
      const shift = level && guarded ? guarded.logPace - level.logPace : 0;
      const heats = (pace?.heats ?? 0) + tonight.length;
      return {
        starter: { ...starter, logPace: starter.logPace + (shift < 0 ? shift : 0) },
        by: guarded?.by ?? 'pace',
        provisional: heats < fewHeats && !(level !== undefined && Math.sqrt(level.variance) < sureSd),
      };
    });
  }

  #classPace({ driver, carClass }: HeatPlace): ClassPace | undefined {
    const known = this.#facts.fit.drivers.find((each) => each.driver === driver);
    return known?.classes.find((pace) => pace.carClass === carClass);
  }

  /** The pace for handicaps, by what the driver has shown: before tonight, since the director's last reset, and tonight. */
  #guarded(place: HeatPlace, pace: ClassPace | undefined, level: number, rows: readonly HeatRow[]): GuardedPace {
    const { fit, dayOf, today, drivers } = this.#facts;
    const resetDay = drivers.get(place.driver)?.resetDay ?? null;
    const counts = ({ night }: { readonly night: number }) => {
      const day = dayOf(night);
      return resetDay === null || (day !== null && day > resetDay);
    };
    const before: ClassPace = pace
      ? { ...pace, latestHeats: pace.latestHeats.filter(counts), latestNights: pace.latestNights.filter(counts) }
      : { carClass: place.carClass, logPace: level, sd: 0, heats: 0, latestHeats: [], latestNights: [] };
    const shown = shownPace(before, fit.components, dayOf, today);
    const tonight = rows.flatMap((row): ShownHeat[] => {
      const expected = this.#filter.expected(row);
      return expected === null ? [] : [{ logPace: row.y - (expected - level), v: row.v }];
    });
    return guardedPace({ ...shown, logPace: level, heats: [...shown.heats, ...tonight] }, this.#facts.guard);
  }
}

const keyOf = ({ driver, carClass }: { readonly driver: string; readonly carClass: string }) =>
  JSON.stringify([driver, carClass]);
