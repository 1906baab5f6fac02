import { drained } from '../shared/drained.ts';
import { type EmOptions, fitHeat, type HeatFit, newScratch } from './clean-laps.ts';
import type { CrashCount, HeatRow } from './heat-row.ts';
import type { LapRow } from './lap-row.ts';
import { type HeatOfDriver, type LapTable, lapTable } from './lap-table.ts';

/** Spread of the clean laps of a whole club. */
export interface PooledLaps {
  /** Standard deviation of the log of a clean lap within a heat. */
  readonly lapSd: number;
  /** Correlation of a clean lap with the one before, for the variance of a mean. */
  readonly rho: number;
}

export interface HeatSummary {
  /** One for each driver and heat with a usable pace, ordered by night, start, track, heat, lane, driver. */
  readonly rows: readonly HeatRow[];
  /** One for each driver and heat with a usable lap, in the same order. */
  readonly crashes: readonly CrashCount[];
  /** Spread of each driver's own clean laps, drawn towards that of the club. */
  readonly lapSd: ReadonlyMap<string, number>;
  readonly pooled: PooledLaps;
}

export interface HeatSummaryOptions {
  /**
   * Log pace the club model expects of a driver in a heat; null where it knows none. For the second pass: without it a heat
   * in which most laps were crashes that nobody flagged reads as a slow one.
   */
  readonly expected?: (heat: HeatOfDriver) => number | null;
  /** Spreads found earlier: for the heats of an evening, too few to find them from. Else they are found from the laps. */
  readonly known?: { readonly pooled: PooledLaps; readonly lapSd: ReadonlyMap<string, number> };
}

/** Spread taken for granted where there are few laps, and how many laps that assumption is worth. */
const usualLapSd = 0.025;
const usualLapSdLaps = 50;
/** How many laps the club's spread is worth in a driver's own. */
const pooledLapSdLaps = 20;
/** Timing resolves milliseconds: no spread is smaller than this. */
const leastLapSd = 0.002;
/** Correlation of a short series comes out too small by about one over its length. */
const rhoShortfall = 0.05;
const largestRho = 0.6;
/** A pace needs this many clean laps; fewer will do where the model says what to expect. */
const leastCleanLaps = 2;
const leastCleanLapsExpected = 0.9;

/**
 * Clean pace and crashes of every driver in every heat: an expectation-maximization fit of two kinds of laps to each
 * heat (`fitHeat`), with each driver's own spread of clean laps.
 *
 * @param laps counted laps in any order, as rows or as a table that is read several times
 */
export const summariseHeats = (laps: Iterable<LapRow> | LapTable, options: HeatSummaryOptions = {}): HeatSummary =>
  drained(summarisingHeats('logS' in laps ? laps : lapTable(laps), options));

/** `summariseHeats` step by step. */
export function* summarisingHeats(table: LapTable, options: HeatSummaryOptions = {}): Generator<void, HeatSummary> {
  const { known } = options;
  const expected: (number | null)[] = [];
  for (const [i, heat] of table.heats.entries()) {
    if (i % heatsPerStep === 0) yield;
    expected.push(finiteOrNull(options.expected?.(heat)));
  }
  const usual = { lapSd: new Map<string, number>(), pooled: { lapSd: usualLapSd, rho: rhoShortfall } };
  const first = yield* fittingAll(table, expected, known ?? usual);
  if (known !== undefined) return written(table, expected, first);
  return written(table, expected, yield* fittingAll(table, expected, spreads(table, first)));
}

/** Heats between two chances to stop: a few milliseconds. */
const heatsPerStep = 500;

interface Spreads {
  readonly lapSd: ReadonlyMap<string, number>;
  readonly pooled: PooledLaps;
}

interface AllFits extends Spreads {
  readonly fits: readonly HeatFit[];
}

function* fittingAll(
  table: LapTable,
  expected: readonly (number | null)[],
  { lapSd, pooled }: Spreads,
): Generator<void, AllFits> {
  const scratch = newScratch();
  const fits: HeatFit[] = [];
  for (const [i, heat] of table.heats.entries()) {
    if (i % heatsPerStep === 0) yield;
    const options: EmOptions = { lapSd: lapSd.get(heat.driver) ?? pooled.lapSd, expected: expected[i] ?? null };
    fits.push(fitHeat(table, table.from[i] as number, table.from[i + 1] as number, options, scratch));
  }
  return { fits, lapSd, pooled };
}

/** Spreads and correlation of the clean laps around the pace of their heat, which takes one lap's worth of freedom each. */
function spreads(table: LapTable, { fits }: AllFits): Spreads {
  const byDriver = new Map<string, { squares: number; laps: number }>();
  let squares = 0;
  let laps = 0;
  let products = 0;
  let productSquares = 0;
  fits.forEach((fit, i) => {
    const freedom = fit.cleanLaps - 1;
    if (freedom <= 0 || fit.dropped) return;
    const { driver } = table.heats[i] as HeatOfDriver;
    const sum = byDriver.get(driver) ?? { squares: 0, laps: 0 };
    sum.squares += fit.squares;
    sum.laps += freedom;
    byDriver.set(driver, sum);
    squares += fit.squares;
    laps += freedom;
    products += fit.lagProducts;
    productSquares += fit.lagSquares;
  });
  const shrunk = (own: { squares: number; laps: number }, towards: number, worth: number) =>
    Math.max(leastLapSd, Math.sqrt((worth * towards ** 2 + own.squares) / (worth + own.laps)));
  const pooledSd = shrunk({ squares, laps }, usualLapSd, usualLapSdLaps);
  const rho = (productSquares > 0 ? products / productSquares : 0) + rhoShortfall;
  return {
    pooled: { lapSd: pooledSd, rho: Math.min(largestRho, Math.max(0, rho)) },
    lapSd: new Map([...byDriver].map(([driver, own]) => [driver, shrunk(own, pooledSd, pooledLapSdLaps)])),
  };
}

function written(table: LapTable, expected: readonly (number | null)[], all: AllFits): HeatSummary {
  const { rho } = all.pooled;
  const rows: HeatRow[] = [];
  const crashes: CrashCount[] = [];
  all.fits.forEach((fit, i) => {
    const heat = table.heats[i] as HeatOfDriver;
    if (fit.laps > 0) {
      const { night, driver, carClass } = heat;
      crashes.push({
        night,
        heat: heat.heat,
        driver,
        carClass,
        crashes: fit.crashes,
        laps: fit.laps,
        lossesS: fit.lossesS,
      });
    }
    const least = expected[i] === null ? leastCleanLaps : leastCleanLapsExpected;
    if (fit.dropped || fit.cleanLaps < least) return;
    const lapSd = all.lapSd.get(heat.driver) ?? all.pooled.lapSd;
    const v = ((lapSd ** 2 / fit.cleanLaps) * (1 + rho)) / (1 - rho);
    rows.push({ ...heat, y: fit.logPace, v, cleanLaps: fit.cleanLaps });
  });
  const { lapSd, pooled } = all;
  return { rows, crashes, lapSd, pooled };
}

const finiteOrNull = (x: number | null | undefined) => (typeof x === 'number' && Number.isFinite(x) ? x : null);
