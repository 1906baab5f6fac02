import { groupBy } from '../shared/group-by.ts';
import type { HeatRow } from './heat-row.ts';
import { mean } from './numeric/moments.ts';

/** How the track got slower (above 0) or faster over a night, in log pace for a unit of `driftAt`. */
export interface Drift {
  readonly perUnit: number;
  readonly sd: number;
}

/** Most of a night's change of grip comes early: 1 - exp(-x / 0.35), x the time in the night over three hours. */
export const driftAt = (startS: number): number => (startS > 0 ? 1 - Math.exp(-startS / 10_800 / 0.35) : 0);

/** What is known of the drift of any night before a heat of it was driven: standard deviation around none. */
const usualDriftSd = 0.018;
/** Spread of a driver's heats of one night around their mean, at least: pace beyond laps. */
const leastHeatSd = 0.006;

/**
 * The drift of a night as drivers who changed nothing saw it: the common slope of their heats, each around the driver's
 * own mean, drawn towards none.
 *
 * @param except drivers whose heats do not count
 * @param paceOf log pace of a heat with the effect of its lane taken off
 */
export function driftSeenByOthers(
  night: readonly HeatRow[],
  except: ReadonlySet<string>,
  paceOf: (row: HeatRow) => number,
): Drift {
  const rows = night.filter(({ driver, y }) => !except.has(driver) && Math.abs(y) < 15);
  const sums = { squares: 0, products: 0, residuals: 0, freedom: 0 };
  for (const own of groupBy(rows, (row) => JSON.stringify([row.driver, row.carClass])).values()) {
    const pace = mean(own.map(paceOf));
    const time = mean(own.map(({ startS }) => driftAt(startS)));
    for (const row of own) {
      const x = driftAt(row.startS) - time;
      const y = paceOf(row) - pace;
      sums.squares += x * x;
      sums.products += x * y;
      sums.residuals += y * y;
    }
    sums.freedom += own.length - 1;
  }
  const heatVariance = Math.max(leastHeatSd ** 2, sums.freedom > 0 ? sums.residuals / sums.freedom : 0);
  const precision = sums.squares / heatVariance + 1 / usualDriftSd ** 2;
  return { perUnit: sums.products / heatVariance / precision, sd: Math.sqrt(1 / precision) };
}
