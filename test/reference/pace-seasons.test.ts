import { describe, expect, test } from 'vitest';
import type { PaceFit } from '../../server/pace/pace-fit.ts';
import { coverage, crashErrors, fitOf, type PaceError, paceErrors, percentRms } from '../helpers/pace-accuracy.ts';
import { type PublicSeason, publicSeason, publicSeasons } from '../helpers/public-seasons.ts';
import { withLastLaps, withoutCrashFlags } from '../helpers/season.ts';

/**
 * The whole fit against the truth of invented seasons that were made elsewhere (data/pace/seasons/SOURCES.md). The limits
 * are those the project is held to. A season has too few drivers for shares of intervals, so those are pooled over seasons;
 * test/bench/pace-quality.bench.test.ts holds each column against the limits with more than 500 intervals.
 */
const ways = [
  ['with', (season: PublicSeason) => season.laps],
  ['without', (season: PublicSeason) => withoutCrashFlags(season.laps)],
] as const;

const seasons = new Map(publicSeasons.map((name) => [name, publicSeason(name)]));
const seasonOf = (name: (typeof publicSeasons)[number]) => seasons.get(name) as PublicSeason;

describe.each(ways)('%s crash flags', (_, lapsOf) => {
  const fits = new Map<string, PaceFit>();
  const all: PaceError[] = [];

  test.each(publicSeasons)('%s: pace, crashes and lanes are near the truth', (name) => {
    const season = seasonOf(name);
    const fit = fitOf(lapsOf(season), season.drivers);
    fits.set(name, fit);
    const errors = paceErrors(fit, season.truth).filter(({ driver }) => !season.cuts.has(driver));
    all.push(...errors);
    expect(percentRms(errors.map(({ error }) => error))).toBeLessThanOrEqual(0.7);

    const full = season.truth.filter(({ driver }) => !season.cuts.has(driver));
    // Crashes of 100 laps; common practice, no source.
    expect(percentRms(crashErrors(fit, full))).toBeLessThanOrEqual(1.2);

    expect(fit.lanes).toHaveLength(season.lanes.length);
    for (const { lane, logEffect, sd } of fit.lanes) {
      const error = logEffect - (season.lanes[lane - 1] as number);
      expect(Math.abs(error)).toBeLessThan(0.0025);
      expect(Math.abs(error)).toBeLessThan(3.5 * sd);
    }
  });

  test('the limits told hold nine tenths of the truth', () => {
    expect(all.length).toBe(24 + 52 + 18);
    expect(coverage(all)).toBeGreaterThanOrEqual(0.86);
    expect(coverage(all)).toBeLessThanOrEqual(0.96);
  });
});

describe('few laps', () => {
  const season = seasonOf('P3');
  const whole = season.truth.map(({ driver }) => driver).filter((driver) => !season.cuts.has(driver));
  const pooled: PaceError[] = [];

  test.each([
    [5, 1.8],
    [20, 1.4],
    [100, 1.0],
  ])('P3, each driver in turn with the last %i laps only: within %f in the log, times 100', (count, limit) => {
    const errors: PaceError[] = [];
    // Three at a time, so that the rest of the club stays what it is.
    for (let i = 0; i < whole.length; i += 3) {
      const cut = whole.slice(i, i + 3);
      const left = cut.reduce<PublicSeason>((each, driver) => withLastLaps(each, driver, count), season);
      const fit = fitOf(left.laps, left.drivers);
      errors.push(...paceErrors(fit, season.truth).filter(({ driver }) => cut.includes(driver)));
    }
    expect(errors).toHaveLength(whole.length);
    expect(percentRms(errors.map(({ error }) => error))).toBeLessThanOrEqual(limit);
    pooled.push(...errors);
  });

  test('the limits told hold nine tenths of the truth', () => {
    expect(pooled).toHaveLength(3 * whole.length);
    expect(coverage(pooled)).toBeGreaterThanOrEqual(0.86);
    expect(coverage(pooled)).toBeLessThanOrEqual(0.96);
  });
});
