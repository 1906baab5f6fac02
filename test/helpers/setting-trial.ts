import { summariseHeats } from '../../server/pace/heat-summary.ts';
import { type Setting, type SettingEffect, settingEffect } from '../../server/pace/setting-effect.ts';
import { groupBy } from '../../server/shared/group-by.ts';
import { fitOf } from './pace-accuracy.ts';
import { seasonOf } from './season.ts';

export interface SettingTrial {
  readonly truth: number;
  readonly found: SettingEffect;
}

/** Each lane once with each setting, and both as early as late. */
const order: readonly Setting[] = ['a', 'b', 'b', 'a', 'b', 'a', 'a', 'b'];

/**
 * Every driver of the last night of many seasons changes a setting between heats, on four lanes driven twice; b is slower
 * by `truth`, in log. The model behind it knows the nights before.
 */
export function settingTrials(truth: number, seasons: number): SettingTrial[] {
  const trials: SettingTrial[] = [];
  for (let seed = 0; seed < seasons; seed++) {
    const { laps, drivers, shape } = seasonOf(50_000 + seed, { lanes: 4, rounds: 2, heatS: 150 });
    const fit = fitOf(
      laps.filter(({ night }) => night < shape.nights),
      drivers,
    );
    const known = { pooled: fit.pooled, lapSd: new Map(fit.drivers.map(({ driver, lapSd }) => [driver, lapSd])) };
    const tonight = laps.filter(({ night }) => night === shape.nights);
    const night = summariseHeats(tonight, { known }).rows;
    const lane = (_: string, lane: number) => fit.lanes.find((each) => each.lane === lane) ?? null;
    for (const own of groupBy(tonight, ({ driver }) => driver).values()) {
      const heats = [...new Set(own.map(({ heat }) => heat))];
      if (heats.length !== order.length) continue;
      const settings = new Map(heats.map((heat, i) => [heat, order[i] as Setting]));
      const driven = own.map((lap) =>
        settings.get(lap.heat) === 'b' ? { ...lap, timeS: lap.timeS * Math.exp(truth) } : lap,
      );
      const rows = summariseHeats(driven, { known }).rows;
      const compared = rows.map((row) => ({ row, setting: settings.get(row.heat) as Setting }));
      trials.push({ truth, found: settingEffect(compared, { tau: fit.components.tau, lane, night }) });
    }
  }
  return trials;
}

/** Share of trials in which a difference was seen: false alarms where there is none. */
export const powerOf = (trials: readonly SettingTrial[]) =>
  trials.filter(({ found }) => found.verdict === 'faster' || found.verdict === 'slower').length / trials.length;

/** Share of trials whose limits hold the truth. */
export const coverageOf = (trials: readonly SettingTrial[]) =>
  trials.filter(({ truth, found: { interval } }) => interval && interval.low <= truth && truth <= interval.high)
    .length / trials.length;
