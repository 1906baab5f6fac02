import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { fitClub } from '../../server/pace/club-model.ts';
import { predictLevels } from '../../server/pace/club-predict.ts';
import { type FitProgress, fitSeason } from '../../server/pace/fit.ts';
import type { HeatRow } from '../../server/pace/heat-row.ts';
import type { DriverRow, LapRow } from '../../server/pace/lap-row.ts';
import type { PaceFit } from '../../server/pace/pace-fit.ts';
import { drained } from '../../server/shared/drained.ts';
import { references } from '../helpers/pace-references.ts';
import { seasonOf } from '../helpers/season.ts';

const fitOf = (laps: readonly LapRow[], drivers: readonly DriverRow[] = [], seed = 7) =>
  drained(fitSeason(laps, drivers, { seed }));

/** Every number in a fit is one; JSON would turn others into null. */
function expectSound(fit: PaceFit) {
  expect(JSON.parse(JSON.stringify(fit))).toEqual(fit);
  for (const { classes, covariance } of [...fit.drivers, ...fit.newcomers]) {
    expect(covariance).toHaveLength(classes.length);
    for (const [i, { sd, logPace }] of classes.entries()) {
      expect(sd).toBeGreaterThanOrEqual(0);
      expect(Math.abs(covariance[i]?.[i] ?? -1)).toBeCloseTo(sd ** 2, 9);
      expect(Math.abs(logPace)).toBeLessThan(20);
    }
  }
}

const lap: LapRow = {
  ...{ night: 1, heat: '1', startS: 0, track: 'T', lane: 1, driver: 'Ada', carClass: 'GT' },
  ...{ lap: 2, timeS: 6, flag: '' },
};
const laps = (count: number, over: (i: number) => Partial<LapRow> = () => ({})) =>
  Array.from({ length: count }, (_, i): LapRow => ({ ...lap, lap: i + 1, ...over(i) }));

describe('clubs with little to tell', () => {
  test.each<[string, LapRow[]]>([
    ['nothing', []],
    ['one lap', [lap]],
    ['one driver, identical laps', laps(40)],
    ['identical laps of everybody', laps(400, (i) => ({ driver: `D${i % 8}`, night: 1 + (i % 5), lap: 2 + i }))],
    ['all crashes', laps(60, (i) => ({ flag: 'crash', timeS: 12 + (i % 7) }))],
    ['all track calls', laps(60, () => ({ flag: 'call' }))],
    [
      'times that are no times',
      laps(60, (i) => ({ timeS: [0, -3, Number.NaN, Number.POSITIVE_INFINITY][i % 4] ?? 0 })),
    ],
    ['a lap of an hour among others', laps(40, (i) => ({ timeS: i === 20 ? 3600 : 6 + 0.01 * (i % 5) }))],
    [
      'a lane and a class of its own for everybody',
      laps(200, (i) => ({ driver: `D${i % 6}`, lane: 1 + (i % 6), carClass: `C${i % 6}` })),
    ],
    ['numbers that are none', laps(20, () => ({ night: Number.NaN, lane: Number.NaN, startS: Number.NaN }))],
    [
      'two tracks with nobody in common',
      laps(200, (i) => ({ driver: `D${i % 6}`, track: `T${i % 2}`, timeS: i % 2 ? 6 : 11 })),
    ],
    ['two tracks in one night', laps(200, (i) => ({ track: `T${i % 2}`, heat: `${i % 4}`, timeS: i % 2 ? 6 : 11 }))],
  ])('%s', (_, rows) => {
    expectSound(fitOf(rows));
    expectSound(
      fitOf(rows, [
        { driver: 'Ada', group: 'junior', nightsBefore: 3 },
        { driver: 'Nobody', group: null, nightsBefore: -1 },
      ]),
    );
  });

  test('whatever laps hold, numbers come out', () => {
    const time = fc.oneof(
      fc.double({ min: 3, max: 20 }),
      fc.constantFrom(0, -1, 3600, Number.NaN, Number.POSITIVE_INFINITY),
    );
    const some = fc.record({
      night: fc.oneof(fc.integer({ min: 1, max: 6 }), fc.constant(Number.NaN)),
      heat: fc.constantFrom('1', '2', 'x'),
      startS: fc.oneof(fc.integer({ min: 0, max: 9000 }), fc.constantFrom(-5, Number.NaN)),
      track: fc.constantFrom('T', 'U'),
      lane: fc.constantFrom(1, 2, 3, 0, -1, Number.NaN),
      driver: fc.constantFrom('Ada', 'Bo', '__proto__', ''),
      carClass: fc.constantFrom('GT', ''),
      lap: fc.integer({ min: -1, max: 30 }),
      timeS: time,
      flag: fc.constantFrom('' as const, 'crash' as const, 'call' as const),
    });
    const group = fc.constantFrom('junior' as const, 'adult' as const, null);
    const driver = fc.record({
      driver: fc.constantFrom('Ada', 'Bo', 'Cy'),
      group,
      nightsBefore: fc.constantFrom(0, 9, Number.NaN),
    });
    fc.assert(
      fc.property(fc.array(some, { maxLength: 120 }), fc.array(driver, { maxLength: 4 }), (rows, drivers) =>
        expectSound(fitOf(rows, drivers)),
      ),
      { numRuns: 60 },
    );
  });
});

describe('a season', () => {
  const season = seasonOf(5, { nights: 8, drivers: 12, lanes: 4, classes: ['GT', 'Open'] });
  const fit = fitOf(season.laps, season.drivers);

  test('the same laps in any order give the same fit', () => {
    const back = fitOf(season.laps.toReversed(), season.drivers);
    expect({ ...back, inputsHash: fit.inputsHash }).toEqual(fit);
    expect(fitOf(season.laps, season.drivers)).toEqual(fit);
  });

  test('what went in is told: seed, latest night, hash', () => {
    expect([fit.seed, fit.lastNight]).toEqual([7, 8]);
    expect(fit.inputsHash).toMatch(/^[0-9a-f]{16}$/);
    const other = season.laps.map((row, i) => (i === 1000 ? { ...row, timeS: row.timeS + 0.001 } : row));
    expect(fitOf(other, season.drivers).inputsHash).not.toBe(fit.inputsHash);
    expect(fitOf(season.laps, season.drivers.slice(1)).inputsHash).not.toBe(fit.inputsHash);
  });

  test('progress rises to the end', () => {
    const seen: FitProgress[] = [];
    const fitting = fitSeason(season.laps, season.drivers, { seed: 1 });
    for (let step = fitting.next(); !step.done; step = fitting.next()) seen.push(step.value);
    expect(seen.length).toBeGreaterThan(100);
    expect(seen.map(({ done }) => done)).toEqual(seen.map(({ done }) => done).toSorted((a, b) => a - b));
    expect(seen.every(({ done, of }) => done >= 0 && done <= of)).toBe(true);
  });

  test('seconds or another unit: pace moves, nothing else does', () => {
    const factor = Math.exp(0.5);
    const slower = fitOf(
      season.laps.map((row) => ({ ...row, timeS: factor * row.timeS, flag: row.flag })),
      season.drivers,
    );
    for (const [i, driver] of fit.drivers.entries()) {
      for (const [j, { logPace, sd }] of driver.classes.entries()) {
        const moved = slower.drivers[i]?.classes[j];
        expect(moved?.logPace).toBeCloseTo(logPace + 0.5, 2);
        expect(moved?.sd).toBeCloseTo(sd, 2);
      }
    }
  });

  test('a newcomer is as uncertain as drivers differ, a regular is not', () => {
    const [newcomer] = fit.newcomers;
    expect(newcomer?.classes[0]?.sd).toBeGreaterThan(0.04);
    for (const driver of fit.drivers) if (driver.nights >= 4) expect(driver.classes[0]?.sd).toBeLessThan(0.02);
    expect(fit.newcomers.map(({ group }) => group)).toEqual(['junior', 'adult', null]);
  });

  test('lanes and the latest heats and nights of everybody', () => {
    const sum = fit.lanes.reduce((total, { logEffect }) => total + logEffect, 0);
    expect(sum).toBeCloseTo(0, 12);
    for (const { driver, classes } of fit.drivers) {
      for (const { carClass, logPace, heats, latestHeats, latestNights } of classes) {
        expect(latestHeats.length).toBe(Math.min(20, heats));
        expect(latestNights.length).toBeLessThanOrEqual(12);
        for (const heat of latestHeats) expect(Math.abs(heat.logPace - logPace)).toBeLessThan(0.25);
        const nights = latestNights.map(({ night }) => night);
        expect(nights).toEqual(nights.toSorted((a, b) => a - b));
        expect(season.laps.some((row) => row.driver === driver && row.carClass === carClass)).toBe(heats > 0);
      }
    }
  });
});

// Source: B. Efron, C. Morris 1977, Scientific American 236(5): 18 batters, shrunk by .212 towards their mean. With the
// variance between batters that goes with this factor, the posterior means of the club model are the estimates of James and
// Stein.
test('levels are drawn to the mean as James and Stein draw batting averages', () => {
  const { names, hits_of_45: hits, raw_scale: published } = references.efron_morris_baseball;
  const { shrink_c: c, sampling_variance: variance, js_estimates: expected } = published;
  expect(c).toBeCloseTo(published.published_c, 3);
  const rows = (names as string[]).map(
    (driver, i): HeatRow => ({
      ...{ night: 1, heat: '1', startS: 0, track: 'T', lane: 1, carClass: 'C', cleanLaps: 45 },
      ...{ driver, y: hits[i] / 45, v: variance },
    }),
  );
  const a = Math.sqrt((variance * c) / (1 - c));
  const components = { a, w: 0, q: 0, r: 0, de: 0, tau: 0, s: 0.01, g: 0.01 };
  const drivers = (names as string[]).map((driver): DriverRow => ({ driver, group: 'adult', nightsBefore: 0 }));
  const model = fitClub(rows, drivers, { components, off: ['de', 'g'], robust: false });
  const levels = predictLevels(
    model,
    drivers.map(({ driver }) => ({ driver, carClass: 'C' })),
  );
  expect(levels).toHaveLength(18);
  for (const [i, { logPace }] of levels.entries()) expect(logPace).toBeCloseTo(expected[i], 9);
});
