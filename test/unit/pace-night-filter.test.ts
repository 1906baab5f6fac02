import { describe, expect, test } from 'vitest';
import { Expectation } from '../../server/pace/club-expect.ts';
import { fittingSeason, type SeasonFit } from '../../server/pace/fit.ts';
import type { HeatRow } from '../../server/pace/heat-row.ts';
import { summariseHeats } from '../../server/pace/heat-summary.ts';
import type { DriverRow, LapRow } from '../../server/pace/lap-row.ts';
import { NightFilter } from '../../server/pace/night-filter.ts';
import { type Season, seasonOf } from '../helpers/season.ts';

function fitted(laps: readonly LapRow[], drivers: readonly DriverRow[]): SeasonFit {
  const fitting = fittingSeason(laps, drivers, { seed: 1 });
  let step = fitting.next();
  while (!step.done) step = fitting.next();
  return step.value;
}

interface Night {
  readonly base: SeasonFit;
  readonly laps: readonly LapRow[];
  readonly heats: readonly string[];
  readonly number: number;
}

/** The last night of a season, and what a fit of those before knows. */
function lastNight(season: Season): Night {
  const number = season.shape.nights;
  const laps = season.laps.filter(({ night }) => night === number);
  const base = fitted(
    season.laps.filter(({ night }) => night < number),
    season.drivers,
  );
  return { base, laps, heats: [...new Set(laps.map(({ heat }) => heat))], number };
}

/** Heats of tonight, read as they are when only they and the fit are there. */
function rowsOf({ base, laps }: Night, heat: string, filter: NightFilter): readonly HeatRow[] {
  const lapSd = new Map(base.fit.drivers.map((driver) => [driver.driver, driver.lapSd]));
  const known = { pooled: base.fit.pooled, lapSd };
  const own = laps.filter((lap) => lap.heat === heat);
  return summariseHeats(own, { expected: (each) => filter.expected(each), known }).rows;
}

const rms = (x: readonly number[]) => Math.sqrt(x.reduce((sum, value) => sum + value ** 2, 0) / x.length);
const mean = (x: readonly number[]) => x.reduce((sum, value) => sum + value, 0) / x.length;

/** Levels of those who raced: the filter's less those of a fit of all laps, each within its class around their mean. */
function differences(filter: NightFilter, refit: SeasonFit, night: number): number[] {
  const expectation = new Expectation(refit.model);
  const conditions = { track: 'T', lane: 1, night, startS: 0 };
  const byClass = new Map<string, number[]>();
  for (const { driver, carClass, logPace } of filter.levels()) {
    if (
      !refit.model.design.rows.some((row) => row.night === night && row.driver === driver && row.carClass === carClass)
    )
      continue;
    const expected = expectation.of({ ...conditions, heat: '', driver, carClass }) ?? Number.NaN;
    const off = logPace - expected + expectation.conditions(conditions);
    byClass.set(carClass, [...(byClass.get(carClass) ?? []), off]);
  }
  return [...byClass.values()].flatMap((offs) => offs.map((off) => off - mean(offs)));
}

describe.each([
  ['one class', 31, ['GT']],
  ['two classes', 32, ['GT', 'Open']],
] as const)('%s', (_, seed, classes) => {
  const season = seasonOf(seed, { classes });
  const night = lastNight(season);

  test('heat by heat, levels stay within 0.05 % of a fit of everything', () => {
    const filter = new NightFilter(night.base.fit, []);
    const looked = [0.3, 0.65, 1].map((share) => Math.ceil(share * night.heats.length) - 1);
    for (const [i, heat] of night.heats.entries()) {
      for (const row of rowsOf(night, heat, filter)) filter.update(row);
      if (!looked.includes(i)) continue;
      const known = new Set(night.heats.slice(0, i + 1));
      const laps = season.laps.filter((lap) => lap.night < night.number || known.has(lap.heat));
      const off = differences(filter, fitted(laps, season.drivers), night.number);
      expect(off.length).toBeGreaterThan(4);
      expect(100 * rms(off)).toBeLessThanOrEqual(0.05);
    }
  });

  test('a heat takes less than a millisecond', () => {
    const filter = new NightFilter(night.base.fit, []);
    const rows = night.heats.flatMap((heat) => rowsOf(night, heat, filter));
    const before = process.cpuUsage();
    for (const row of rows) filter.update(row);
    const { user, system } = process.cpuUsage(before);
    expect((user + system) / 1000 / rows.length).toBeLessThan(1);
  });

  test('uncertainty shrinks with heats, and a starter carries the heat to come in his', () => {
    const filter = new NightFilter(night.base.fit, []);
    const rows = night.heats.flatMap((heat) => rowsOf(night, heat, filter));
    const { driver, carClass } = rows[0] as HeatRow;
    const seat = { driver, carClass, track: 'T', lane: 1, startS: 0 };
    const others = rows.slice(1, 4).map((row, i) => ({ ...seat, driver: row.driver, lane: i + 2 }));
    const before = filter.starters([seat, ...others])[0];
    for (const row of rows) filter.update(row);
    const after = filter.starters([seat, ...others])[0];
    expect(after?.variance).toBeLessThan(before?.variance ?? 0);
    expect(after?.variance).toBeGreaterThan(night.base.fit.components.tau ** 2);
  });
});

describe('nights nobody could foresee', () => {
  const season = seasonOf(33, { nights: 3, drivers: 6, lanes: 3 });
  const { fit } = fitted(season.laps, season.drivers);
  const row: HeatRow = {
    ...{ night: 4, heat: '1', startS: 0, track: 'T', lane: 1, driver: 'Driver 1', carClass: 'GT' },
    ...{ y: 1.8, v: 1e-5, cleanLaps: 20 },
  };
  const isSound = (filter: NightFilter) =>
    filter.levels().every(({ logPace, variance }) => Number.isFinite(logPace) && variance >= 0 && variance < 1);

  test('strangers, classes, tracks and lanes the fit never saw', () => {
    const filter = new NightFilter(fit, [{ driver: 'Nobody', carClass: 'GT', group: 'junior' }]);
    for (const strange of [
      { driver: 'Somebody' },
      { carClass: 'Trucks' },
      { driver: 'Somebody', carClass: 'Trucks', track: 'Attic' },
      { lane: 99 },
    ])
      filter.update({ ...row, ...strange });
    expect(filter.levels()).toHaveLength(5);
    expect(isSound(filter)).toBe(true);
    expect(filter.expected({ ...row, driver: 'Nobody else' })).toBeNull();
  });

  test('heats without a usable number change nothing', () => {
    const filter = new NightFilter(fit, [row]);
    const before = filter.levels();
    for (const bad of [Number.NaN, Number.POSITIVE_INFINITY]) {
      filter.update({ ...row, y: bad });
      filter.update({ ...row, v: bad });
      filter.update({ ...row, startS: bad });
    }
    filter.update({ ...row, v: -1 });
    expect(filter.levels()).toEqual(before);
  });

  test('a hundred heats that all say the same, and then an hour a lap', () => {
    const filter = new NightFilter(fit, []);
    for (let i = 0; i < 100; i++) filter.update({ ...row, v: 0, startS: 240 * i });
    filter.update({ ...row, y: Math.log(3600) });
    expect(isSound(filter)).toBe(true);
    const [level] = filter.levels();
    expect(Math.abs((level?.logPace ?? 0) - 1.8)).toBeLessThan(0.2);
  });

  test('a fit of nothing', () => {
    const filter = new NightFilter(fitted([], []).fit, [{ driver: 'A', carClass: 'GT' }]);
    filter.update(row);
    expect(isSound(filter)).toBe(true);
  });
});
