import type { HeatRow } from './heat-row.ts';
import { summariseHeats } from './heat-summary.ts';
import type { LapRow } from './lap-row.ts';
import type { PaceFit } from './pace-fit.ts';
import { type CrashDifference, crashDifference } from './setting-crashes.ts';
import { type Setting, type SettingEffect, settingEffect } from './setting-effect.ts';

/** A driver's heat of one night, to say which setting the car had. */
export interface OwnHeat {
  readonly heat: string;
  readonly lane: number;
  /** Clean lap, in seconds. */
  readonly lapS: number;
  readonly setting: Setting | null;
}

export interface SettingNight {
  /** In the order they were driven. */
  readonly heats: readonly OwnHeat[];
  /** Null while no heat was given a setting. */
  readonly compared: { readonly effect: SettingEffect; readonly crashes: CrashDifference } | null;
}

/**
 * A driver's heats of one night, compared where settings were named.
 *
 * @param laps of everybody on that night
 * @param settingOf setting of a heat; null: left out
 */
export function settingNight(
  fit: PaceFit,
  laps: readonly LapRow[],
  driver: string,
  settingOf: (heat: string) => Setting | null,
): SettingNight {
  const lapSd = new Map(fit.drivers.map((one) => [one.driver, one.lapSd]));
  const { rows, crashes } = summariseHeats(laps, { known: { pooled: fit.pooled, lapSd } });
  const own = rows.filter((row) => row.driver === driver).sort((a, b) => a.startS - b.startS);
  const heats = own.map(({ heat, lane, y }) => ({ heat, lane, lapS: Math.exp(y), setting: settingOf(heat) }));
  const chosen = own.flatMap((row) => withSetting(row, settingOf(row.heat)));
  if (chosen.length === 0) return { heats, compared: null };
  const effect = settingEffect(chosen, {
    tau: fit.components.tau,
    lane: (track, lane) => fit.lanes.find((one) => one.track === track && one.lane === lane) ?? null,
    night: rows,
  });
  const mistakes = crashes.filter((count) => count.driver === driver);
  const [a, b] = (['a', 'b'] as const).map((setting) => mistakes.filter(({ heat }) => settingOf(heat) === setting));
  return { heats, compared: { effect, crashes: crashDifference(a ?? [], b ?? [], fit.seed) } };
}

const withSetting = (row: HeatRow, setting: Setting | null) => (setting === null ? [] : [{ row, setting }]);
