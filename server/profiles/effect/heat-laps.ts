import { summariseHeats } from '../../pace/heat-summary.ts';
import type { Laps } from '../../pace/lap-row.ts';
import { driftAt, driftSeenByOthers } from '../../pace/night-drift.ts';
import type { PaceFit } from '../../pace/pace-fit.ts';
import type { DriverPast, SeenNight } from '../../pace/setting-past.ts';
import type { SetupHeat } from './setup-effect.ts';

/** A heat as it was noted at its start. */
export interface NotedHeat {
  readonly driver: string;
  readonly night: number;
  readonly heat: string;
  readonly within: string;
  readonly version: number;
  readonly hash: string;
  readonly laps: number;
}

/** Spreads of clean laps as the fit knows them; without a fit they are found from the laps at hand. */
const spreadsOf = (fit: PaceFit | null) =>
  fit && { pooled: fit.pooled, lapSd: new Map(fit.drivers.map(({ driver, lapSd }) => [driver, lapSd])) };

/**
 * Heats with the pace and the crashes that their laps show.
 *
 * @param laps of the drivers of these heats
 * @param pastOf what is known of a driver's past
 */
export function setupHeats<T extends NotedHeat>(
  noted: readonly T[],
  laps: Laps,
  fit: PaceFit | null,
  pastOf: (driver: string) => DriverPast,
): (SetupHeat & T)[] {
  const known = spreadsOf(fit);
  const levels = levelsOf(fit);
  const { rows, crashes } = summariseHeats(laps, {
    ...(known && { known }),
    expected: ({ driver, carClass, night, track, lane, startS }) => {
      const level = levels.get(keyOf(driver, night, carClass));
      if (level === undefined) return null;
      const past = pastOf(driver);
      const { grip, gain } = past.night(night, track);
      const ofLane = past.lane(track, lane)?.logEffect ?? 0;
      return level + past.track(track) + ofLane + grip - gain * driftAt(startS);
    },
  });
  const rowOf = new Map(rows.map((row) => [keyOf(row.driver, row.night, row.heat), row]));
  const crashesOf = new Map(crashes.map((count) => [keyOf(count.driver, count.night, count.heat), count]));
  return noted.map((heat) => {
    const key = keyOf(heat.driver, heat.night, heat.heat);
    return { ...heat, row: rowOf.get(key) ?? null, crashes: crashesOf.get(key) ?? null };
  });
}

/** Levels of drivers on their latest nights, by driver, night and class. */
function levelsOf(fit: PaceFit | null): ReadonlyMap<string, number> {
  const levels = new Map<string, number>();
  for (const { driver, classes } of fit?.drivers ?? [])
    for (const { carClass, latestNights } of classes)
      for (const { night, logPace } of latestNights) levels.set(keyOf(driver, night, carClass), logPace);
  return levels;
}

const keyOf = (driver: string, night: number, of: string) => JSON.stringify([driver, night, of]);

/**
 * How the track changed over a night that the fit does not know, as the others saw it.
 *
 * @param laps of everybody on that night
 * @param except whose heats are to be compared
 */
export function seenBy(laps: Laps, fit: PaceFit | null, except: ReadonlySet<string>): ReturnType<SeenNight> {
  const known = spreadsOf(fit);
  const lanes = new Map(fit?.lanes.map(({ track, lane, logEffect }) => [JSON.stringify([track, lane]), logEffect]));
  const { rows } = summariseHeats(laps, known ? { known } : {});
  const drift = driftSeenByOthers(
    rows,
    except,
    (row) => row.y - (lanes.get(JSON.stringify([row.track, row.lane])) ?? 0),
  );
  return { gain: -drift.perUnit, sd: drift.sd };
}
