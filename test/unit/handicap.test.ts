import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { heatRequest, type RaceLength } from '../../server/handicap/heat-request.ts';
import { NightPace } from '../../server/handicap/night-pace.ts';
import { planningWithMargins } from '../../server/handicap/plan-heat.ts';
import { adjustmentFor, type RaceHandicap, readTold } from '../../server/handicap/told.ts';
import { fitSeason } from '../../server/pace/fit.ts';
import type { LapRow } from '../../server/pace/lap-row.ts';
import type { PaceFit, Starter } from '../../server/pace/pace-fit.ts';
import { usualSlowGuard } from '../../server/pace/slow-guard.ts';
import { drained } from '../../server/shared/drained.ts';
import { randomFrom } from '../../server/shared/random.ts';

const starter = (driver: string, lapS: number): Starter => ({
  driver,
  logPace: Math.log(lapS),
  variance: 0.0002,
  lapSd: 0.02,
  rho: 0.1,
  crash: { alpha: 1, beta: 60 },
  nu: 1.2,
  omega: 0.4,
});

const handicap: RaceHandicap = { mode: 'delay', dial: 100, capMs: null, roundMs: 100 };
const overTime: RaceLength = { format: 'time', durationMs: 120_000, firstTo: null, laps: null };
const starters = [starter('a', 5), starter('b', 5.5)];
const asked = { race: overTime, handicap, starters, byHand: [null, null], seed: 1 };

describe('what the planner is asked', () => {
  test('a heat over a time, over laps, and to the first with so many laps', () => {
    expect(heatRequest(asked)?.length).toEqual({ kind: 'time', durationMs: 120_000 });
    const overLaps = { format: 'laps', durationMs: null, firstTo: null, laps: 20 };
    expect(heatRequest({ ...asked, race: overLaps })?.length).toEqual({ kind: 'laps', laps: 20 });
    const first = { ...overTime, firstTo: 10, durationMs: null };
    expect(heatRequest({ ...asked, race: first })?.length).toEqual({ kind: 'laps', laps: 10 });
    // 10 laps of 5 s are 50 s: the laps end the heat before 120 s, but not before 40 s.
    expect(heatRequest({ ...asked, race: { ...first, durationMs: 120_000 } })?.length.kind).toBe('laps');
    expect(heatRequest({ ...asked, race: { ...first, durationMs: 40_000 } })?.length).toEqual({
      kind: 'time',
      durationMs: 40_000,
    });
    const credit = { ...handicap, mode: 'credit' as const };
    expect(heatRequest({ ...asked, handicap: credit, race: first })?.length).toEqual({
      kind: 'time',
      durationMs: 50_000,
    });
    expect(heatRequest({ ...asked, race: { ...overTime, durationMs: null } })).toBeNull();
  });

  test('limits and rounding are in the units of what is given', () => {
    const settings = { dial: 50, capMs: 21_000, roundMs: 500 };
    expect(heatRequest({ ...asked, handicap: { ...settings, mode: 'delay' } })).toMatchObject({
      dial: 0.5,
      cap: 21_000,
      step: 500,
    });
    // Laps of 5 s and 5.5 s: 21 s are four laps of their mean.
    expect(heatRequest({ ...asked, handicap: { ...settings, mode: 'credit' } })).toMatchObject({ cap: 400, step: 10 });
    const laps = { format: 'laps', durationMs: null, firstTo: null, laps: 20 };
    expect(heatRequest({ ...asked, race: laps, handicap: { ...settings, mode: 'credit' } })).toMatchObject({
      cap: 21_000,
      step: 500,
    });
  });
});

test('a credit adds laps, and takes time off', () => {
  expect([adjustmentFor(130, 'time'), adjustmentFor(4200, 'laps'), adjustmentFor(0, 'laps')]).toEqual([130, -4200, 0]);
});

test('what is stored is read back, and nothing else', () => {
  expect(readTold('{')).toBeNull();
  expect(readTold('{"lanes":3,"mode":"delay"}')).toBeNull();
  const told = { format: 'time', mode: 'credit', inputs: 'x', heatsSeen: 2, lanes: [] };
  expect(readTold(JSON.stringify(told))).toEqual(told);
});

test('the margin that surprises is one that 1 of 100 wins of such heats exceeds', () => {
  const request = heatRequest(asked);
  if (request === null) throw new Error('it has a length');
  const { plan, surprising } = drained(planningWithMargins(request));
  // Equal chances: 1 % of heats are 2 % of each one's wins. Both vary by about 2 % of 22 laps, so the difference of two
  // normal scores by 0.6 laps or so; 2.3 of these (98 % of one side) are about 1.4 laps.
  for (const margin of surprising) {
    expect(margin).toBeGreaterThan(60);
    expect(margin).toBeLessThan(500);
  }
  expect(drained(planningWithMargins(request))).toEqual({ plan, surprising });
  const alone = heatRequest({ ...asked, starters: [starter('a', 5)], byHand: [null] });
  expect(alone && drained(planningWithMargins(alone)).surprising).toEqual([0]);
});

const season = (): LapRow[] => {
  const random = randomFrom(3);
  return ['a', 'b', 'c'].flatMap((driver, d) =>
    Array.from({ length: 6 * 2 * 15 }, (_, i): LapRow => {
      const [night, heat] = [1 + Math.floor(i / 30), Math.floor(i / 15) % 2];
      const timeS = (5 + 0.3 * d) * Math.exp(0.02 * random.normal());
      const when = { night, heat: String(heat), startS: 600 * heat, lap: 1 + (i % 15) };
      return { ...when, track: 't', lane: 1 + ((d + heat) % 3), driver, carClass: 'c', timeS, flag: '' };
    }),
  );
};
const fit: PaceFit = drained(fitSeason(season(), [], { seed: 1 }));
const night = (heats: readonly (readonly LapRow[])[], of: PaceFit = fit) =>
  new NightPace({ fit: of, heats, drivers: new Map(), dayOf: () => null, today: null });
const place = (driver: string, lane = 1) => ({ driver, carClass: 'c', track: 't', lane, startS: 0 });
const tonight = (driver: string, lapS: number, heat: string): LapRow[] =>
  Array.from({ length: 15 }, (_, i) => ({
    ...{ night: 7, heat, startS: 0, track: 't', lane: 1, driver, carClass: 'c', lap: i + 1, flag: '' as const },
    timeS: lapS + 0.05 * (i % 3),
  }));

describe("tonight's pace", () => {
  test('a quick heat counts at once; a slow one makes nobody slower than his best by much', () => {
    const paceOf = (heats: LapRow[][]) => night(heats).starters([place('b')])[0]?.starter.logPace as number;
    const before = paceOf([]);
    const heats = (lapS: number) => [0, 1, 2, 3].map((n) => tonight('b', lapS, `h${n}`));
    expect(paceOf(heats(5))).toBeLessThan(before - 0.02);
    // Golf's "soft cap" idea: 10 % slower tonight comes to little.
    expect(paceOf(heats(5.85)) - before).toBeLessThan(0.03);
  });

  test('where the club does not hold handicaps to what was shown, a slow night counts in full', () => {
    const heats = [0, 1, 2, 3].map((n) => tonight('b', 5.85, `h${n}`));
    const facts = { fit, heats, drivers: new Map(), dayOf: () => null, today: null };
    const paceOf = (on: boolean) =>
      new NightPace({ ...facts, guard: { ...usualSlowGuard, on } }).starters([place('b')])[0]?.starter
        .logPace as number;
    expect(paceOf(false)).toBeGreaterThan(paceOf(true) + 0.001);
  });

  test('a newcomer is provisional until three heats', () => {
    expect(night([]).starters([place('x')])[0]?.provisional).toBe(true);
    expect(night([]).starters([place('a')])[0]?.provisional).toBe(false);
    const three = [0, 1, 2].map((n) => tonight('x', 5.2, `h${n}`));
    expect(night(three).starters([place('x')])[0]?.provisional).toBe(false);
    expect([night([]).isKnown('x'), night(three).isKnown('x'), night([]).isKnown('a')]).toEqual([false, true, true]);
  });

  test('whatever laps there are, pace and plan are numbers', () => {
    const time = fc.oneof(
      fc.double({ min: 0.01, max: 4000, noNaN: true }),
      fc.constantFrom(0, -1, Number.NaN, Number.POSITIVE_INFINITY, 3600),
    );
    const lap = fc.record({
      driver: fc.constantFrom('a', 'b', 'x', 'y'),
      lane: fc.integer({ min: 0, max: 9 }),
      timeS: time,
      flag: fc.constantFrom('' as const, 'crash' as const, 'call' as const),
    });
    const heats = fc.array(fc.array(lap, { maxLength: 12 }), { maxLength: 4 });
    const empty = drained(fitSeason([], [], { seed: 1 }));
    fc.assert(
      fc.property(heats, fc.boolean(), (drawn, isFirstNight) => {
        const rows = drawn.map((laps, h) =>
          laps.map(
            (one, i): LapRow => ({ ...one, night: 7, heat: `${h}`, startS: h, track: 't', carClass: 'c', lap: i }),
          ),
        );
        const found = night(rows, isFirstNight ? empty : fit).starters(
          ['a', 'b', 'x'].map((who, i) => place(who, i + 1)),
        );
        for (const { starter: one } of found) {
          expect(Number.isFinite(one.logPace) && Number.isFinite(one.variance)).toBe(true);
        }
        const request = heatRequest({
          ...asked,
          starters: found.map((each) => each.starter),
          byHand: [null, null, null],
        });
        expect(request).not.toBeNull();
      }),
      { numRuns: 100 },
    );
  });
});
