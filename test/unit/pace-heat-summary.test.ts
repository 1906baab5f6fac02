import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { summariseHeats } from '../../server/pace/heat-summary.ts';
import type { LapRow } from '../../server/pace/lap-row.ts';
import { lapTable } from '../../server/pace/lap-table.ts';
import { randomFrom } from '../../server/shared/random.ts';

type Lap = number | { timeS: number; flag: LapRow['flag'] };

/** Laps of one driver in one heat; the first is the one from the standing start. */
function heat(laps: readonly Lap[], over: Partial<LapRow> = {}): LapRow[] {
  const row = { night: 1, heat: '1', startS: 0, track: 'T', lane: 1, driver: 'Ada', carClass: 'GT', ...over };
  return laps.map((lap, i) => ({
    ...row,
    lap: i + 1,
    ...(typeof lap === 'number' ? { timeS: lap, flag: '' as const } : lap),
  }));
}

const crash = (timeS: number): Lap => ({ timeS, flag: 'crash' });
const call = (timeS: number): Lap => ({ timeS, flag: 'call' });

/** Clean laps of a steady driver, spread about 2 %. */
function clean(count: number, paceS: number, seed = 1): number[] {
  const random = randomFrom(seed);
  return Array.from({ length: count }, () => paceS * Math.exp(0.02 * random.normal()));
}

const only = <T>(list: readonly T[]): T => {
  expect(list).toHaveLength(1);
  return list[0] as T;
};

describe('clean pace', () => {
  test('of clean laps is their mean in the log, without the lap from the start', () => {
    const laps = [9, ...clean(20, 6)];
    const row = only(summariseHeats(heat(laps)).rows);
    const mean = laps.slice(1).reduce((sum, t) => sum + Math.log(t), 0) / 20;
    expect(row.y).toBeCloseTo(mean, 9);
    expect(row.cleanLaps).toBeCloseTo(20, 6);
  });

  test('is not moved by crashes, flagged or not, nor by laps with a track call', () => {
    const laps = clean(20, 6);
    const quiet = only(summariseHeats(heat([9, ...laps])).rows);
    const noisy = only(summariseHeats(heat([9, ...laps, crash(11), 14, 9.5, call(60), call(7)])).rows);
    expect(Math.abs(noisy.y - quiet.y)).toBeLessThan(0.001);
  });

  test('holds where nearly half of the laps were crashes that nobody flagged', () => {
    const laps = clean(11, 6).flatMap((t, i) => (i < 9 ? [t, 9 + i / 3] : [t]));
    expect(only(summariseHeats(heat([8, ...laps])).rows).y).toBeCloseTo(Math.log(6), 1);
  });

  test('takes a heat in which most laps were crashes for what it is once the model says what to expect', () => {
    const laps = heat([8, ...clean(5, 6), 8.9, 9, 9.1, 9.2, 9.3, 9.1, 9, 8.8, 9.2]);
    expect(only(summariseHeats(laps).rows).y).toBeGreaterThan(Math.log(8));
    const { rows, crashes } = summariseHeats(laps, { expected: () => Math.log(6.1) });
    expect(only(rows).y).toBeCloseTo(Math.log(6), 1);
    expect(only(crashes).crashes).toBeGreaterThan(8.5);
  });

  test('of a heat with nothing near what was expected is left out, its crashes are not', () => {
    const laps = heat([8, ...clean(12, 9)]);
    const { rows, crashes } = summariseHeats(laps, { expected: () => Math.log(6) });
    expect(rows).toEqual([]);
    expect(only(crashes).laps).toBe(12);
  });

  test('follows the laps, not an expectation that most of them contradict', () => {
    const laps = heat([8, ...clean(15, 6), 8, 8.1]);
    const { rows } = summariseHeats(laps, { expected: () => Math.log(8) });
    expect(only(rows).y).toBeCloseTo(Math.log(6), 1);
  });

  test('passes over double triggers, which count neither as laps nor as crashes', () => {
    const { rows, crashes } = summariseHeats(heat([8, ...clean(20, 6), 0.4, 5.6, 1.2, 4.8]));
    expect(Math.abs(only(rows).y - Math.log(6))).toBeLessThan(0.02);
    expect(only(crashes).laps).toBeLessThan(23);
    expect(only(crashes).crashes).toBeLessThan(0.1);
  });

  test('takes a lap of twice the pace for a missed count more than for a crash', () => {
    const crashesOf = (lap: Lap) => only(summariseHeats(heat([8, ...clean(20, 6), lap])).crashes).crashes;
    expect(crashesOf(12)).toBeCloseTo(0.35, 1);
    expect(crashesOf(10.5)).toBeCloseTo(1, 1);
    expect(crashesOf(crash(12))).toBeCloseTo(1, 1);
  });

  test('and crashes know nothing of laps too slow to be clean and too quick for a car to be put back', () => {
    const quiet = summariseHeats(heat([8, ...clean(20, 6)]));
    const { rows, crashes } = summariseHeats(heat([8, ...clean(20, 6), 7.2, 7.3]));
    expect(Math.abs(only(rows).y - only(quiet.rows).y)).toBeLessThan(0.002);
    expect(only(crashes).crashes).toBeLessThan(0.01);
    expect(only(crashes).lossesS).toEqual([]);
    expect(only(summariseHeats(heat([8, ...clean(20, 6), crash(7.3)])).crashes).crashes).toBeGreaterThan(0.9);
  });

  test('has a variance that falls with laps and rises where laps hang together', () => {
    const rowOf = (count: number) => only(summariseHeats(heat([8, ...clean(count, 6)])).rows);
    expect(rowOf(40).v).toBeLessThan(rowOf(10).v);
    const random = randomFrom(4);
    const tied = Array.from({ length: 30 }, (_, h) => {
      let x = 0;
      const laps = Array.from({ length: 40 }, () => {
        x = 0.5 * x + 0.02 * Math.sqrt(0.75) * random.normal();
        return 6 * Math.exp(x);
      });
      return heat([8, ...laps], { heat: String(h) });
    }).flat();
    const loose = Array.from({ length: 30 }, (_, h) => heat([8, ...clean(40, 6, h)], { heat: String(h) })).flat();
    expect(summariseHeats(tied).pooled.rho).toBeGreaterThan(0.4);
    expect(summariseHeats(loose).pooled.rho).toBeLessThan(0.12);
  });

  test('knows steady drivers from others, and new ones are like the club', () => {
    const of = (driver: string, sd: number, heats: number) => {
      const random = randomFrom(driver.length);
      return Array.from({ length: heats }, (_, h) => {
        const laps = Array.from({ length: 21 }, () => 6 * Math.exp(sd * random.normal()));
        return heat(laps, { driver, heat: String(h) });
      }).flat();
    };
    const { lapSd, pooled } = summariseHeats([
      ...of('Ada', 0.01, 30),
      ...of('Grace', 0.04, 30),
      ...of('Linus', 0.01, 0),
    ]);
    expect(lapSd.get('Ada')).toBeCloseTo(0.01, 2);
    expect(lapSd.get('Grace')).toBeCloseTo(0.04, 2);
    expect(pooled.lapSd).toBeGreaterThan(lapSd.get('Ada') as number);
    expect(pooled.lapSd).toBeLessThan(lapSd.get('Grace') as number);
  });

  test('of one heat with known spreads is that of the same heat among all', () => {
    const all = Array.from({ length: 12 }, (_, h) => heat([8, ...clean(15, 6, h), 9], { heat: String(h + 1) }));
    const whole = summariseHeats(all.flat());
    const one = summariseHeats(all[4] as LapRow[], { known: whole });
    expect(only(one.rows)).toEqual(whole.rows.find((row) => row.heat === '5'));
  });
});

describe('properties', () => {
  const anyTime = fc.oneof(
    { weight: 6, arbitrary: fc.double({ min: 4, max: 9, noNaN: true }) },
    fc.constantFrom(
      0,
      -1,
      -0,
      Number.NaN,
      Number.POSITIVE_INFINITY,
      Number.NEGATIVE_INFINITY,
      1e-300,
      1e300,
      3600,
      0.001,
    ),
    fc.double(),
  );
  const anyLap = fc.record<LapRow>({
    night: fc.oneof(fc.integer({ min: 1, max: 3 }), fc.constantFrom(Number.NaN, -1)),
    heat: fc.constantFrom('1', '2', ''),
    startS: fc.oneof(fc.integer({ min: 0, max: 9999 }), fc.constantFrom(Number.NaN, Number.POSITIVE_INFINITY)),
    track: fc.constantFrom('T', ''),
    lane: fc.oneof(fc.integer({ min: 1, max: 4 }), fc.constantFrom(0, Number.NaN, 1.5)),
    driver: fc.constantFrom('Ada', 'Grace', '', '__proto__'),
    carClass: fc.constantFrom('GT', ''),
    lap: fc.oneof(fc.integer({ min: 1, max: 30 }), fc.constantFrom(0, -3, Number.NaN, 1e300)),
    timeS: anyTime,
    flag: fc.constantFrom('' as const, 'crash' as const, 'call' as const),
  });
  const expectations = fc.option(fc.oneof(fc.double(), fc.constantFrom(null, 1.8, 2.4)), { nil: undefined });

  test('whatever the laps hold, what comes out are numbers', () => {
    fc.assert(
      fc.property(fc.array(anyLap, { maxLength: 60 }), expectations, (laps, expected) => {
        const result = summariseHeats(laps, expected === undefined ? {} : { expected: () => expected });
        const { rows, crashes, lapSd, pooled } = result;
        for (const { y, v, cleanLaps } of rows) {
          expect(Number.isFinite(y)).toBe(true);
          expect(v).toBeGreaterThan(0);
          expect(v).toBeLessThan(1);
          expect(cleanLaps).toBeGreaterThan(0.8);
        }
        for (const count of crashes) {
          expect(count.crashes).toBeGreaterThanOrEqual(0);
          expect(count.crashes).toBeLessThanOrEqual(count.laps + 1e-9);
          for (const loss of count.lossesS) expect(loss > 0 && Number.isFinite(loss)).toBe(true);
        }
        for (const sd of [...lapSd.values(), pooled.lapSd]) expect(sd > 0 && Number.isFinite(sd)).toBe(true);
        expect(pooled.rho >= 0 && pooled.rho < 1).toBe(true);
      }),
      { numRuns: 500 },
    );
  });

  test('the order in which laps arrive changes nothing', () => {
    const laps = Array.from({ length: 6 }, (_, h) =>
      heat([8, ...clean(10, 6, h), crash(9)], {
        heat: String(h % 3),
        lane: 1 + (h % 2),
        driver: h % 2 ? 'Ada' : 'Grace',
      }),
    ).flat();
    const unique = laps.filter(
      (a, i) => laps.findIndex((b) => b.heat === a.heat && b.driver === a.driver && b.lap === a.lap) === i,
    );
    fc.assert(
      fc.property(fc.shuffledSubarray(unique, { minLength: unique.length }), (shuffled) => {
        expect(summariseHeats(shuffled)).toEqual(summariseHeats(unique));
      }),
      { numRuns: 50 },
    );
  });

  test('all laps slower by a factor means a pace slower by that factor, in the log', () => {
    fc.assert(
      fc.property(fc.integer(), fc.double({ min: 0.5, max: 3, noNaN: true }), (seed, factor) => {
        const laps = heat([8, ...clean(15, 6, seed), crash(10), 13]);
        const slower = laps.map((lap) => ({ ...lap, timeS: lap.timeS * factor }));
        const [a, b] = [only(summariseHeats(laps).rows), only(summariseHeats(slower).rows)];
        expect(b.y - a.y).toBeCloseTo(Math.log(factor), 6);
        expect(b.v).toBeCloseTo(a.v, 9);
      }),
    );
  });
});

describe('odd data', () => {
  test('nothing, laps all alike, nothing but crashes, one lap', () => {
    expect(summariseHeats([])).toMatchObject({ rows: [], crashes: [] });
    const alike = only(summariseHeats(heat(Array.from({ length: 12 }, () => 6))).rows);
    expect(alike.y).toBeCloseTo(Math.log(6), 12);
    expect(alike.v).toBeGreaterThan(0);
    const crashed = summariseHeats(heat([8, ...Array.from({ length: 9 }, (_, i) => crash(9 + i))]));
    expect(crashed.rows.every(({ y }) => Number.isFinite(y))).toBe(true);
    expect(summariseHeats(heat([8])).crashes).toEqual([]);
    expect(summariseHeats(heat([8, 6])).rows).toEqual([]);
    expect(summariseHeats(heat([8, 6]), { expected: () => Math.log(6) }).rows).toHaveLength(1);
  });

  test('a lap of an hour changes nothing', () => {
    const laps = [8, ...clean(15, 6)];
    expect(summariseHeats(heat([...laps, 3600])).rows).toEqual(summariseHeats(heat(laps)).rows);
  });
});

test('a table holds laps by heat in their order, whatever order they came in', () => {
  const rows = [...heat([8, 6.1, 6.2, 6.3]), ...heat([7, 5.1, 5.2], { driver: 'Grace', lane: 2 })];
  const table = lapTable([...rows].reverse());
  expect(table.heats.map(({ driver }) => driver)).toEqual(['Ada', 'Grace']);
  expect([...table.from]).toEqual([0, 3, 5]);
  expect([...table.lap]).toEqual([2, 3, 4, 2, 3]);
  expect([...table.logS].map((x) => Math.exp(x).toFixed(1))).toEqual(['6.1', '6.2', '6.3', '5.1', '5.2']);
});
