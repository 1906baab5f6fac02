import { describe, expect, test } from 'vitest';
import type { HeatRow } from '../../server/pace/heat-row.ts';
import { driftAt } from '../../server/pace/night-drift.ts';
import type { PaceFit } from '../../server/pace/pace-fit.ts';
import { settingDifference } from '../../server/pace/setting-difference.ts';
import { settingEffect } from '../../server/pace/setting-effect.ts';
import { nightsToCompare, settingAcrossNights } from '../../server/pace/setting-nights.ts';
import { ownCovariance, ownPace, pastOf } from '../../server/pace/setting-past.ts';
import type { SetupHeat } from '../../server/profiles/effect/setup-effect.ts';
import { setupEffect } from '../../server/profiles/effect/setup-effect.ts';
import { effectKey, versionEffects } from '../../server/profiles/effect/version-effect.ts';
import { fitOf } from '../helpers/pace-accuracy.ts';
import { seasonOf } from '../helpers/season.ts';
import { coverageOf, powerOf } from '../helpers/setting-trial.ts';
import { versionTrials } from '../helpers/version-trial.ts';

const components = { a: 0.06, w: 0.02, q: 0.004, r: 0.006, de: 0.08, tau: 0.008, s: 0.015, g: 0.012 };
const lane = (number: number) => ({ track: 'T', lane: number, logEffect: 0.01 * (number - 2), sd: 0.002 });
const night = (number: number, grip = 0) => ({
  ...{ night: number, track: 'T', grip, gain: 0.01 },
  covariance: [1e-5, 0, 1e-5] as const,
});

const fit = (over: Partial<PaceFit> = {}): PaceFit =>
  ({
    components,
    lastNight: 9,
    lanes: [1, 2, 3].map(lane),
    tracks: [{ track: 'T', logEffect: 0 }],
    drift: 0.01,
    drivers: [
      { driver: 'Ada', group: 'adult', nights: 9 },
      { driver: 'Kit', group: 'junior', nights: 9 },
      { driver: 'Sam', group: null, nights: 9 },
    ],
    past: {
      nights: Array.from({ length: 9 }, (_, i) => night(i + 1, i === 4 ? 0.03 : 0)),
      learning: { mean: 0.1, sd: 0.01 },
    },
    ...over,
  }) as unknown as PaceFit;

const nights = [1, 2, 3, 4, 5, 6, 7, 8, 9];
const past = (driver = 'Ada', over: Partial<PaceFit> = {}) => pastOf(fit(over), driver, nights);

let heatNumber = 0;
const heat = (version: number, over: Partial<HeatRow> = {}, hash = `hash ${version}`): SetupHeat => {
  const row: HeatRow = {
    ...{ night: 1, heat: String(++heatNumber), startS: 0, track: 'T', lane: 2, driver: 'Ada', carClass: 'GT' },
    ...{ y: 1.8, v: 0.004 ** 2, cleanLaps: 20 },
    ...over,
  };
  const { heat: name, driver, carClass } = row;
  const crashes = { night: row.night, heat: name, driver, carClass, crashes: 1, laps: 22, lossesS: [] };
  return { row, crashes, night: row.night, within: 'GT', version, hash, laps: 23 };
};

const compare = (heats: readonly SetupHeat[], of = past()) => setupEffect(heats, { a: 'hash 1', b: 'hash 2' }, of, 1);
const width = ({ interval }: ReturnType<typeof compare>) => (interval?.high as number) - (interval?.low as number);

describe('effect of a setup', () => {
  test('on one night and one lane is that of two settings', () => {
    const heats = [0, 900, 1800, 2700].map((startS, i) =>
      heat(i === 0 || i === 3 ? 1 : 2, { startS, y: i === 0 || i === 3 ? 1.8 : 1.77 }),
    );
    const found = compare(heats);
    const settings = heats.map(({ row, version }) => ({
      row: row as HeatRow,
      setting: version === 1 ? ('a' as const) : ('b' as const),
    }));
    const told = settingEffect(settings, { tau: components.tau, lane: (_, number) => lane(number), night: [] });
    expect(found.effect).toBeCloseTo(told.effect, 3);
    // Not the same question about the drift, so not the same width to the last digit.
    expect(width(found) / width(told as never)).toBeGreaterThan(0.9);
    expect(width(found) / width(told as never)).toBeLessThan(1.1);
    expect(found).toMatchObject({
      verdict: 'faster',
      nightsWithBoth: 1,
      heats: { a: 2, b: 2 },
      laps: { a: 46, b: 46 },
      cleanLaps: { a: 40, b: 40 },
      learning: 'none',
    });
    expect(found.secondsPerLap).toBeCloseTo(Math.exp(1.8) * Math.expm1(found.effect), 6);
  });

  test('is not the grip of a night, its drift, or a lane', () => {
    const seen = (row: Partial<HeatRow> & { night: number; startS: number; lane: number }) => ({
      ...row,
      y: 1.8 + (row.night === 5 ? 0.03 : 0) + 0.01 * (row.lane - 2) - 0.01 * driftAt(row.startS),
    });
    const heats = [
      heat(1, seen({ night: 4, startS: 0, lane: 1 })),
      heat(1, seen({ night: 4, startS: 3000, lane: 2 })),
      heat(2, seen({ night: 5, startS: 0, lane: 3 })),
      heat(2, seen({ night: 5, startS: 6000, lane: 2 })),
    ];
    expect(compare(heats).effect).toBeCloseTo(0, 9);
  });

  test('across nights knows less than within one, and more heats on one night less than more nights', () => {
    const within = compare([heat(1), heat(2, { y: 1.77 })]);
    const across = compare([heat(1), heat(2, { night: 2, y: 1.77 })]);
    expect(width(across)).toBeGreaterThan(width(within));
    const four = (other: (i: number) => number) =>
      width(compare([0, 1, 2, 3].flatMap((i) => [heat(1, { night: 1 }), heat(2, { night: other(i) })])));
    expect(four(() => 2)).toBeGreaterThan(four((i) => 2 + i));
    expect([within.nightsWithBoth, across.nightsWithBoth]).toEqual([1, 0]);
  });

  test('is told within a class, a track and a car only', () => {
    const other = (version: number, within: string, y: number) => ({ ...heat(version, { y }), within });
    expect(compare([other(1, 'GT', 1.8), other(2, 'Rally', 1.5)])).toMatchObject({
      verdict: 'notEnoughLaps',
      interval: null,
    });
    // A level of its own for each: that b was driven more often in the quick one is no effect.
    const both = [
      other(1, 'GT', 1.8),
      other(2, 'GT', 1.8),
      ...[0, 1, 2].map(() => other(2, 'Rally', 1.5)),
      other(1, 'Rally', 1.5),
    ];
    expect(compare(both).effect).toBeCloseTo(0, 9);
  });

  test('takes a junior’s learning off as far as the club’s juniors show it', () => {
    const learnt = nights.map((number) =>
      heat(number < 5 ? 1 : 2, {
        night: number,
        y: 1.8 + 0.1 * Math.exp(-(number - 1) / 8) - (number === 5 ? -0.03 : 0),
      }),
    );
    expect(compare(learnt, past('Kit')).effect).toBeCloseTo(0, 6);
    expect(compare(learnt, past('Kit')).learning).toBe('takenOff');
    expect(compare(learnt, past('Ada')).effect).toBeLessThan(-0.01);
    expect(compare(learnt, past('Sam')).learning).toBe('unknown');
    expect(width(compare(learnt, past('Sam')))).toBeGreaterThan(width(compare(learnt, past('Ada'))));
    // Kept by a version of the program that noted no learning.
    const { past: _, ...older } = fit();
    expect(compare(learnt, pastOf(older as PaceFit, 'Kit', nights)).learning).toBe('unknown');
  });

  test('without a fit, or on a night it does not know, is less certain', () => {
    const heats = [heat(1), heat(1, { startS: 900 }), heat(2, { night: 2 }), heat(2, { night: 2, startS: 900 })];
    const blind = compare(heats, pastOf(null, 'Ada', nights));
    expect(blind.interval).not.toBeNull();
    expect(width(blind)).toBeGreaterThan(width(compare(heats)));
    const unknown = heats.map((one) => ({ ...one, row: one.row && { ...one.row, night: one.row.night + 20 } }));
    expect(width(compare(unknown))).toBeGreaterThan(width(compare(heats)));
    // How others saw the drift of that night counts.
    const late = [heat(1, { night: 30 }), heat(2, { night: 30, startS: 9000, y: 1.8 - 0.03 * driftAt(9000) })];
    const seen = pastOf(fit(), 'Ada', nights, () => ({ gain: 0.03, sd: 0.002 }));
    expect(Math.abs(compare(late, seen).effect)).toBeLessThan(0.001);
    expect(Math.abs(compare(late).effect)).toBeGreaterThan(0.01);
  });

  test('the heats it asks for are enough', () => {
    const pairs = (count: number) =>
      compare(Array.from({ length: count }, () => [heat(1), heat(2, { y: 1.801 })]).flat());
    const { moreHeatsEach, verdict } = pairs(1);
    expect(verdict).toBe('notEnoughLaps');
    expect(pairs(1 + moreHeatsEach).verdict).toBe('noDifferenceSeen');
    expect(pairs(moreHeatsEach - 1).verdict).toBe('notEnoughLaps');
  });

  test('whatever the heats hold, numbers come out', () => {
    const odd = [
      { y: Number.NaN },
      { y: 1e9 },
      { v: -1 },
      { v: Number.POSITIVE_INFINITY },
      { startS: -5 },
      { lane: 99 },
    ];
    const found = compare([
      ...odd.map((over) => heat(1, over)),
      ...odd.map((over) => heat(2, over)),
      { ...heat(1), row: null },
    ]);
    for (const x of [found.effect, found.secondsPerLap, found.moreHeatsEach, found.interval?.low ?? 0])
      expect(x).toSatisfy(Number.isFinite);
    expect(compare([]).verdict).toBe('notEnoughLaps');
  });

  test('by least squares is what two means give where they must', () => {
    const rows = [heat(1), heat(1, { y: 1.81 }), heat(2, { y: 1.76 }), heat(2, { y: 1.77 })].map(
      ({ row }) => row as HeatRow,
    );
    const compared = rows.map((row, i) => ({
      setting: i < 2 ? ('a' as const) : ('b' as const),
      within: '',
      pace: ownPace(row, past()),
    }));
    const found = settingDifference(compared, ownCovariance(rows, past()));
    expect(found?.effect).toBeCloseTo(-0.04, 9);
    // Four heats alike: the variance of a difference of two means of two, all else being common.
    expect(found?.variance).toBeCloseTo((components.tau ** 2 + 0.004 ** 2) / 0.9125, 9);
  });
});

describe('versions', () => {
  const version = (number: number, hash = `hash ${number}`) => ({ version: number, hash });

  test('are compared with the last one before that was driven and is another setup', () => {
    const heats = [heat(1), heat(3), heat(5, {}, 'hash 1')];
    const versions = [version(6), version(5, 'hash 1'), version(4, 'hash 3'), version(3), version(2), version(1)];
    const told = versionEffects(versions, heats, past(), 1).map(({ version: number, is, against }) => [
      number,
      is,
      against,
    ]);
    expect(told).toEqual([
      [6, 'notDriven', null],
      [5, 'compared', 3],
      [4, 'sameSetup', 3],
      [3, 'compared', 1],
      [2, 'notDriven', null],
      [1, 'nothingBefore', null],
    ]);
  });

  test('that go back to a setup have its heats too', () => {
    const heats = [heat(1), heat(2), heat(2), heat(3, {}, 'hash 1')];
    const [, , third] = versionEffects([version(1), version(2), version(3, 'hash 1')], heats, past(), 1);
    expect(third?.effect?.heats).toEqual({ a: 2, b: 2 });
  });

  test('that surely helped stand first, by what they gain at the least', () => {
    const of = (apart: number, count = 4) => {
      const heats = Array.from({ length: count }, () => [heat(1), heat(2, { y: 1.8 + apart })]).flat();
      return versionEffects([version(2), version(1)], heats, past(), 1)[0] ?? null;
    };
    const keys = [of(-0.05), of(-0.03), of(0.001), null, of(0.05)].map(effectKey);
    expect(keys[0]).toBeGreaterThan(keys[1] as number);
    expect(keys[1]).toBeGreaterThan(0);
    expect(keys.slice(2, 4)).toEqual([0, 0]);
    expect(keys[4]).toBeLessThan(0);
    // Much from few heats is worth less than a little that is sure.
    expect(effectKey(of(-0.03, 1))).toBeLessThan(effectKey(of(-0.03, 6)));
  });
});

describe('over many simulated changes', () => {
  test.each([
    ['across', 14, 250],
    ['one night', 5, 700],
  ] as const)('%s: a difference is seen where there is none in at most one of ten', (plan, seasons, least) => {
    const trials = versionTrials({ plan, truth: 0, seasons });
    expect(trials.length).toBeGreaterThan(least);
    expect(powerOf(trials)).toBeLessThanOrEqual(0.1);
    expect(coverageOf(trials)).toBeGreaterThanOrEqual(0.88);
    // Juniors learn between nights: that is no better version.
    const juniors = trials.filter(({ group }) => group === 'junior');
    const faster = juniors.filter(({ found }) => found.verdict === 'faster');
    expect(faster.length / juniors.length).toBeLessThanOrEqual(0.06);
  });

  test('limits hold the truth where there is one, and it is mostly seen when setups were mixed over nights', () => {
    const trials = versionTrials({ plan: 'mixed', truth: -0.02, seasons: 5 });
    const changed = trials.filter(({ truth }) => truth !== 0);
    expect(coverageOf(trials)).toBeGreaterThanOrEqual(0.88);
    expect(powerOf(changed)).toBeGreaterThan(0.8);
  });

  test('before and after a night: juniors are not told that any setting made them faster', () => {
    const verdicts = [1, 2, 3, 4, 5].flatMap((seed) => {
      const { laps, drivers } = seasonOf(70_000 + seed, { lanes: 4 });
      const fit = fitOf(laps, drivers);
      const { past: _, ...older } = fit;
      return drivers
        .filter(({ group }) => group === 'junior')
        .flatMap(({ driver }) =>
          nightsToCompare(fit, driver).map(({ night }) => ({
            now: settingAcrossNights(fit, driver, 'GT', night).verdict,
            blind: settingAcrossNights(older, driver, 'GT', night).verdict,
          })),
        );
    });
    const faster = (of: 'now' | 'blind') => verdicts.filter((one) => one[of] === 'faster').length / verdicts.length;
    expect(verdicts.length).toBeGreaterThan(150);
    expect(faster('now')).toBeLessThanOrEqual(0.06);
    // Without what the fit tells of learning it was otherwise.
    expect(faster('blind')).toBeGreaterThan(0.1);
  });
});
