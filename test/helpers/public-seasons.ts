import { readFileSync } from 'node:fs';
import path from 'node:path';
import type { DriverRow, LapRow } from '../../server/pace/lap-row.ts';
import { readDrivers, readLaps } from '../../server/pace/laps-csv.ts';
import type { Truth } from './pace-accuracy.ts';

export const publicSeasons = ['P1', 'P2', 'P3'] as const;

export interface PublicSeason {
  readonly laps: readonly LapRow[];
  readonly drivers: readonly DriverRow[];
  readonly truth: readonly Truth[];
  /** Log effects of lanes 1, 2, 3 …; they add up to 0. */
  readonly lanes: readonly number[];
  /** Laps left of drivers whose older ones were taken out. */
  readonly cuts: ReadonlyMap<string, number>;
}

interface TruthFile {
  readonly cuts: Readonly<Record<string, number>>;
  readonly laneLogEffect: readonly number[];
  readonly drivers: readonly {
    readonly driver: string;
    readonly nightsAttended: number;
    readonly nextNightLogPace: Readonly<Record<string, number>>;
    readonly crashPerLap: number;
  }[];
}

const folder = path.resolve(import.meta.dirname, '../reference/data/pace/seasons');
const textOf = (name: string) => readFileSync(path.join(folder, name), 'utf8');

/** A season with its truth, read by the reader of the product. @throws when the reader finds a problem */
export function publicSeason(name: (typeof publicSeasons)[number]): PublicSeason {
  const { laps, problems } = readLaps(textOf(`${name}_laps.csv`));
  const table = readDrivers(textOf(`${name}_drivers.csv`));
  if (problems.length + table.problems.length > 0) throw new Error(`${name}: ${JSON.stringify(problems[0])}`);
  const truth = JSON.parse(textOf(`${name}_truth.json`)) as TruthFile;
  const attended = new Map(truth.drivers.map(({ driver, nightsAttended }) => [driver, nightsAttended]));
  const cuts = new Map(Object.entries(truth.cuts));
  const nightsLeft = (driver: string) =>
    new Set(laps.filter((lap) => lap.driver === driver).map(({ night }) => night)).size;
  return {
    laps,
    // Where laps were taken out a club still knows how often a driver came.
    drivers: table.drivers.map((row) =>
      cuts.has(row.driver)
        ? { ...row, nightsBefore: Math.max(0, (attended.get(row.driver) ?? 0) - nightsLeft(row.driver)) }
        : row,
    ),
    truth: truth.drivers.map(({ driver, nextNightLogPace, crashPerLap }) => ({
      driver,
      nextNight: new Map(Object.entries(nextNightLogPace)),
      crashChance: crashPerLap,
    })),
    lanes: truth.laneLogEffect,
    cuts,
  };
}
