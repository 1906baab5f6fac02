import { summariseHeats } from '../../server/pace/heat-summary.ts';
import type { LapRow } from '../../server/pace/lap-row.ts';
import { pastOf } from '../../server/pace/setting-past.ts';
import { type SetupEffect, type SetupHeat, setupEffect } from '../../server/profiles/effect/setup-effect.ts';
import { groupBy } from '../../server/shared/group-by.ts';
import { type Random, randomFrom } from '../../server/shared/random.ts';
import { fitOf } from './pace-accuracy.ts';
import { type SeasonShape, seasonOf } from './season.ts';

export interface VersionTrial {
  readonly truth: number;
  readonly group: 'junior' | 'adult' | null;
  readonly found: SetupEffect;
}

export type Plan =
  /** Version 2 from one night on, another one for each driver. */
  | 'across'
  /** Every night in the order 1, 2, 2, 1; each night is compared by itself. */
  | 'one night'
  /** Version 1 or 2 by lot in each heat. */
  | 'mixed';

export interface TrialOptions {
  readonly plan: Plan;
  /** Log pace of version 2 less that of version 1, for those who change. */
  readonly truth: number;
  readonly seasons: number;
  /** Share of the drivers who change something; the others' labels mean nothing. */
  readonly changers?: number;
  readonly shape?: Partial<SeasonShape>;
  /** What the club says of its drivers' groups. */
  readonly groups?: 'told' | 'not told';
}

const [one, two] = ['1'.repeat(64), '2'.repeat(64)];
const inOrder = [1, 2, 2, 1] as const;

/**
 * Seasons of an invented club in which drivers change the version of a profile. The club's model is fitted to all laps, those
 * with the new version too, as it is in the program.
 */
export function versionTrials(options: TrialOptions): VersionTrial[] {
  const { plan, truth, changers = 0.15, seasons, groups = 'told' } = options;
  const trials: VersionTrial[] = [];
  for (let seed = 0; seed < seasons; seed++) {
    const season = seasonOf(70_000 + seed, { lanes: 4, ...options.shape });
    const random = randomFrom(900 + seed);
    const nights = season.shape.nights;
    const people = new Map(
      season.drivers.map(({ driver }) => [
        driver,
        { first: 4 + Math.floor(random.unit() * (nights - 6)), changes: random.unit() < changers },
      ]),
    );
    const driven = [
      ...groupBy(season.laps, ({ driver, night, heat }) => JSON.stringify([driver, night, heat])).values(),
    ];
    const order = new Map<string, number>();
    const heats = driven.map((laps) => {
      const { driver, night } = laps[0] as LapRow;
      const key = `${night} ${driver}`;
      const place = order.get(key) ?? 0;
      order.set(key, place + 1);
      const first = people.get(driver)?.first ?? 0;
      return { laps, version: versionIn({ plan, random, place, isLater: night >= first }) };
    });
    const laps = heats.flatMap(({ laps, version }) => {
      const slower = version === 2 && people.get(laps[0]?.driver ?? '')?.changes ? Math.exp(truth) : 1;
      return laps.map((lap) => ({ ...lap, timeS: lap.timeS * slower }));
    });
    const drivers = groups === 'told' ? season.drivers : season.drivers.map((row) => ({ ...row, group: null }));
    const fit = fitOf(laps, drivers);
    const known = { pooled: fit.pooled, lapSd: new Map(fit.drivers.map(({ driver, lapSd }) => [driver, lapSd])) };
    const versionOf = new Map(
      heats.map(({ laps: [lap], version }) => [JSON.stringify([lap?.driver, lap?.night, lap?.heat]), version]),
    );
    for (const { driver, group } of season.drivers) {
      const own = laps.filter((lap) => lap.driver === driver);
      const summary = summariseHeats(own, { known });
      const setups = summary.rows.map((row): SetupHeat => {
        const version = versionOf.get(JSON.stringify([driver, row.night, row.heat])) ?? 0;
        const crashes = summary.crashes.find(({ night, heat }) => night === row.night && heat === row.heat) ?? null;
        const hash = version === 1 ? one : two;
        return { row, crashes, night: row.night, within: row.carClass, version, hash, laps: crashes?.laps ?? 0 };
      });
      const past = pastOf(fit, driver, [...new Set(own.map(({ night }) => night))]);
      const together = plan === 'one night' ? [...groupBy(setups, (heat) => heat.night).values()] : [setups];
      for (const some of together) {
        const found = setupEffect(some, { a: one, b: two }, past, 1);
        if (found.interval) trials.push({ truth: people.get(driver)?.changes ? truth : 0, group, found });
      }
    }
  }
  return trials;
}

interface Chosen {
  readonly plan: Plan;
  readonly random: Random;
  /** Of the heat among the driver's heats of that night, from 0. */
  readonly place: number;
  readonly isLater: boolean;
}

function versionIn({ plan, random, place, isLater }: Chosen): 1 | 2 {
  if (plan === 'one night') return inOrder[place % 4] as 1 | 2;
  if (plan === 'across') return isLater ? 2 : 1;
  return random.unit() < 0.5 ? 2 : 1;
}
