import { type FitProgress, fitSeason } from './fit.ts';
import { InputsHash } from './inputs-hash.ts';
import { type LapColumns, lapsOf } from './lap-columns.ts';
import type { DriverRow } from './lap-row.ts';
import type { PaceFit } from './pace-fit.ts';

/** Everything a fit is made from. */
export interface RefitRequest {
  readonly laps: LapColumns;
  readonly drivers: readonly DriverRow[];
  readonly seed: number;
  /** `inputsHash` of a fit that is there already; null to fit in any case. */
  readonly unless: string | null;
}

/** Laps between two reports. */
const lapsPerStep = 10_000;

/**
 * Fits a club's laps, unless that was done already.
 *
 * @returns the fit; null where the laps and drivers are those of the fit named
 */
export function* refitting({ laps, drivers, seed, unless }: RefitRequest): Generator<FitProgress, PaceFit | null> {
  const rows = lapsOf(laps);
  if (unless !== null) {
    const hash = new InputsHash();
    for (const driver of drivers) hash.driver(driver);
    let read = 0;
    for (const lap of rows) {
      hash.lap(lap);
      if (read++ % lapsPerStep === 0) yield { done: 0, of: 1000 };
    }
    if (hash.hex() === unless) return null;
  }
  return yield* fitSeason(rows, drivers, { seed });
}
