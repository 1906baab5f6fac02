import type { CrashCount, HeatRow } from '../../pace/heat-row.ts';
import { mean } from '../../pace/numeric/moments.ts';
import { type CrashDifference, crashDifference } from '../../pace/setting-crashes.ts';
import { settingDifference, toldEffect } from '../../pace/setting-difference.ts';
import { isSound, type Setting, type SettingEffect, usualSamplingVariance } from '../../pace/setting-effect.ts';
import { type DriverPast, heatVariance, ownCovariance, ownPace } from '../../pace/setting-past.ts';

/** A confirmed heat of a driver with the setup that was dialled in. */
export interface SetupHeat {
  /** Null where too few laps were clean. */
  readonly row: HeatRow | null;
  /** Null where no lap could show a crash. */
  readonly crashes: CrashCount | null;
  readonly night: number;
  /** Heats are compared with those of the same class of cars, track and car only. */
  readonly within: string;
  readonly version: number;
  /** Setup hash: the same for the same settings, whatever the version. */
  readonly hash: string;
  readonly laps: number;
}

/** What one setup did against another. */
export interface SetupEffect extends SettingEffect {
  readonly laps: { readonly a: number; readonly b: number };
  /** To the nearest whole number; crashes and odd laps are not among them. */
  readonly cleanLaps: { readonly a: number; readonly b: number };
  /** Nights on which both were driven: these settle most. */
  readonly nightsWithBoth: number;
  readonly crashes: CrashDifference;
  /** Whether a junior's learning between nights was taken off. */
  readonly learning: DriverPast['learning']['is'];
}

/** Heats of each setup that are looked at, the latest: older ones add little and cost time. */
const mostHeats = 40;
/** Draws for the difference of crashes: fewer than for a page of one comparison, as a profile has many versions. */
const crashDraws = 500;

/**
 * Compares all heats of a driver with two setups.
 *
 * @param heats of this driver, in the order they were driven
 * @param hashes setup hashes of a (before) and b (after), different ones
 * @param seed of the draws for crashes
 */
export function setupEffect(
  heats: readonly SetupHeat[],
  hashes: { readonly a: string; readonly b: string },
  past: DriverPast,
  seed: number,
): SetupEffect {
  const of = { a: heatsOf(heats, hashes.a), b: heatsOf(heats, hashes.b) };
  const chosen = (['a', 'b'] as const).flatMap((setting) => of[setting].map((heat) => ({ setting, ...heat })));
  const sound = chosen.flatMap((heat) => withPace(heat));
  const rows = sound.map(({ row }) => row);
  const compared = sound.map(({ setting, within, row }) => ({ setting, within, pace: ownPace(row, past) }));
  const difference = settingDifference(compared, ownCovariance(rows, past));
  const ofA = sound.filter(({ setting }) => setting === 'a').map(({ row }) => row.y);
  const numbers = (count: (setting: Setting) => number) => ({ a: count('a'), b: count('b') });
  const perHeat = rows.map(({ v }) => heatVariance(past.components, v));
  const told = toldEffect(difference, {
    heats: numbers((setting) => of[setting].length),
    lapS: ofA.length === 0 ? 0 : Math.exp(mean(ofA)),
    perHeat: perHeat.length === 0 ? heatVariance(past.components, usualSamplingVariance) : mean(perHeat),
  });
  const crashesOf = (setting: Setting) => of[setting].flatMap(({ crashes }) => crashes ?? []);
  const [nightsA, nightsB] = [of.a, of.b].map((some) => new Set(some.map(({ night }) => night))) as [
    Set<number>,
    Set<number>,
  ];
  return {
    ...told,
    laps: numbers((setting) => of[setting].reduce((sum, { laps }) => sum + laps, 0)),
    cleanLaps: numbers((setting) => Math.round(of[setting].reduce((sum, { row }) => sum + (row?.cleanLaps ?? 0), 0))),
    nightsWithBoth: [...nightsA].filter((night) => nightsB.has(night)).length,
    crashes: crashDifference(crashesOf('a'), crashesOf('b'), seed, crashDraws),
    learning: past.learning.is,
  };
}

const heatsOf = (heats: readonly SetupHeat[], hash: string) =>
  heats.filter((heat) => heat.hash === hash).slice(-mostHeats);

const withPace = <T extends SetupHeat>(heat: T) => (heat.row && isSound(heat.row) ? [{ ...heat, row: heat.row }] : []);
