import { describe, expect, test } from 'vitest';
import type { DriverFit, PaceFit, Starter } from '../../server/pace/pace-fit.ts';
import { planHeat } from '../../server/pace/planner.ts';
import { type HeatSeat, starterOf } from '../../server/pace/starter-of.ts';

const driver = (name: string, group: DriverFit['group'], paces: Record<string, number>, sd: number): DriverFit => {
  const classes = Object.entries(paces).map(([carClass, logPace]) => ({
    carClass,
    logPace,
    sd,
    heats: 3,
    latestHeats: [],
    latestNights: [],
  }));
  const crash = { alpha: 2, beta: 58 };
  return { driver: name, group, nights: 4, classes, covariance: [], lapSd: 0.02, crash, nu: 1.4 } as DriverFit;
};

const fit = {
  components: { a: 0.06, w: 0.02, q: 0.004, r: 0.006, de: 0.08, tau: 0.008, s: 0.015, g: 0.012 },
  lanes: [{ track: 'T', lane: 2, logEffect: 0.01, sd: 0.003 }],
  tracks: [{ track: 'T', logEffect: 0.2 }],
  drivers: [driver('Ada', 'adult', { GT: 1.7, Rally: 1.9 }, 0.004)],
  newcomers: [
    driver('', 'junior', { GT: 1.95, Rally: 2.15 }, 0.08),
    driver('', 'adult', { GT: 1.8, Rally: 2 }, 0.06),
    driver('', null, { GT: 1.85, Rally: 2.05 }, 0.09),
  ],
  pooled: { lapSd: 0.025, rho: 0.1, nu: 1.5, omega: 0.4 },
} as unknown as PaceFit;

const seat: HeatSeat = { driver: 'Ada', carClass: 'GT', track: 'T', lane: 2, group: null };
const heatVariance = 0.006 ** 2 + 0.008 ** 2;

describe('a starter from a fit', () => {
  test('has pace, lane and track, and all that is not known in its variance', () => {
    const starter = starterOf(fit, seat) as Starter;
    expect(starter.logPace).toBeCloseTo(1.7 + 0.01 + 0.2, 12);
    expect(starter.variance).toBeCloseTo(0.004 ** 2 + 0.003 ** 2 + heatVariance, 12);
    expect([starter.rho, starter.omega, starter.nu, starter.lapSd]).toEqual([0.1, 0.4, 1.4, 0.02]);
  });

  test('on a lane and track nobody knows has the pace of a usual one', () => {
    expect(starterOf(fit, { ...seat, track: 'other', lane: 9 })?.logPace).toBeCloseTo(1.7, 12);
  });

  test('without laps is a newcomer of the group, or of all where nobody said', () => {
    const paceOf = (group: HeatSeat['group']) => starterOf(fit, { ...seat, driver: 'New', lane: 1, group })?.logPace;
    expect([paceOf('junior'), paceOf('adult'), paceOf(null)].map((pace) => (pace as number) - 0.2)).toEqual([
      expect.closeTo(1.95),
      expect.closeTo(1.8),
      expect.closeTo(1.85),
    ]);
    expect(starterOf(fit, { ...seat, driver: 'New', group: 'adult' })?.driver).toBe('New');
  });

  test('in a class nobody has driven is less sure', () => {
    const starter = starterOf(fit, { ...seat, carClass: 'Truck', lane: 1, track: '' }) as Starter;
    expect(starter.logPace).toBeCloseTo(1.8, 12);
    expect(starter.variance).toBeCloseTo(0.004 ** 2 + 0.02 ** 2 + heatVariance, 12);
  });

  test('may be planned with another pace than the expected one', () => {
    expect(starterOf(fit, { ...seat, lane: 1 }, (pace) => pace.logPace - 0.02)?.logPace).toBeCloseTo(1.88, 12);
  });

  test('does not exist where the fit knows nothing', () => {
    expect(starterOf({ ...fit, drivers: [], newcomers: [] }, seat)).toBeNull();
    expect(starterOf({ ...fit, drivers: [driver('Ada', null, {}, 0)] }, seat)).toBeNull();
  });

  test('who is new starts later than an equally quick regular', () => {
    const regular = (name: string) => ({ ...(starterOf(fit, seat) as Starter), driver: name });
    const fresh = starterOf(fit, { ...seat, driver: 'New', group: 'adult' }, () => 1.7) as Starter;
    const starters = [regular('A'), regular('B'), { ...fresh, crash: regular('A').crash }];
    const { amounts } = planHeat({
      length: { kind: 'time', durationMs: 150_000 },
      starters,
      mode: 'delay',
      dial: 1,
      cap: null,
      step: 100,
      byHand: [null, null, null],
      aroundHand: false,
      seed: 1,
    });
    expect(amounts[2]).toBeGreaterThan((amounts[0] as number) + (amounts[1] as number));
  });
});
