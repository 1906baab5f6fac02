import { readFileSync } from 'node:fs';
import path from 'node:path';
import { describe, expect, test } from 'vitest';
import { defaultTuning } from '../../server/profiles/model/profile.ts';
import { brakeLaw, tyreStop } from '../../server/profiles/motor/brake-grip.ts';
import { carOf } from '../../server/profiles/motor/car.ts';
import { brakedStop, coastStop, poles, steadySpeed } from '../../server/profiles/motor/closed-form.ts';
import { currentLaw } from '../../server/profiles/motor/current-law.ts';
import { motorCurrents } from '../../server/profiles/motor/currents.ts';
import { flowOf } from '../../server/profiles/motor/linear.ts';
import { type CarMotor, type PresetName, presets } from '../../server/profiles/motor/motor.ts';
import { pwmPeriod, type Switching } from '../../server/profiles/motor/pwm.ts';
import { advance, atRest, type MotorState, type Piece } from '../../server/profiles/motor/rigid.ts';
import { choppedSpeed, continuousEdge, continuousRipple, linearRipple } from '../../server/profiles/motor/ripple.ts';
import { heldRun, rolling, timeToSpeed } from '../../server/profiles/motor/run.ts';
import { switchedRun } from '../../server/profiles/motor/switched.ts';

/** Motor and car held against outside numbers; each check names its source. */

const data = path.join(import.meta.dirname, 'data/controller');
const readData = (name: string) => JSON.parse(readFileSync(path.join(data, name), 'utf8'));

/** Values with sources, gathered from published pages: see the file. */
const references: { id: string; value: unknown; source: string }[] = readData('references.json').checks;
function reference<T>(id: string): T {
  const found = references.find((check) => check.id === id);
  if (!found) throw new Error(`no reference ${id}`);
  return found.value as T;
}

/** Numbers of motor-solver.py, which stands beside them: SciPy's stiff solver Radau. */
const solved: {
  fullDrive: { preset: PresetName; s: number; currentA: number; speedRadPerS: number; distanceM: number }[];
  braked: { preset: PresetName; fromRadPerS: number; after20MsRadPerS: number; stopS: number; stopM: number }[];
  switched: (Chopped & { after50MsRadPerS: number; after100MsRadPerS: number })[];
  periods: (Chopped & { decay: 'slow' | 'fast'; backEmfV: number; meanA: number; rmsA: number; supplyA: number })[];
  tyres: { preset: PresetName; fMagN: number; rho: number; rampUpMs: number; to3MPerS: number }[];
  tyreStops: { preset: PresetName; offShort: number; fromMPerS: number; stopS: number; stopM: number }[];
} = readData('motor-solver.json');
interface Chopped {
  preset: PresetName;
  duty: number;
  offShort: number;
  pwmHz: number;
}

const percent = 0.01;
/** How far a value is from what it should be, as a share of that. */
const off = (value: number, right: number) => Math.abs(value - right) / Math.abs(right);

/** The worked motor of "DC Motor Speed: System Analysis", Control Tutorials for MATLAB and Simulink, Univ. of Michigan. */
const textbook = carOf({
  ...presets.club,
  rOhm: 1,
  lMh: 500,
  keVs: 0.01,
  jm: 0.01,
  b: 0.1,
  tf: 0,
  vs: 1,
  mKg: 1e-9,
  crr: 0,
});

describe('the worked motor of a textbook', () => {
  test('poles, gain and settling time', () => {
    const [first = 0, second = 0] = reference<number[]>('motor-poles');
    const [[slow], [fast]] = poles(textbook);
    expect(off(slow, first)).toBeLessThan(0.2 * percent);
    expect(off(fast, second)).toBeLessThan(0.2 * percent);
    const goal = steadySpeed(textbook);
    expect(off(goal, reference<number>('motor-gain'))).toBeLessThan(0.2 * percent);
    let settledS = 0;
    for (let tS = 0; tS < 5; tS += 0.0005) {
      if (off(advance(textbook, atRest, { volts: 1 }, tS).speedRadPerS, goal) > 2 * percent) settledS = tS;
    }
    expect(off(settledS, reference<number>('motor-settle'))).toBeLessThan(0.5 * percent);
  });

  test('its step response does not depend on the step, from 10 ms to 0.5 s', () => {
    // Closed form: two real poles a, b, from rest: w(t) = goal (1 - (b e^(a t) - a e^(b t)) / (b - a)).
    const [[a], [b]] = poles(textbook);
    const right = (t: number) => steadySpeed(textbook) * (1 - (b * Math.exp(a * t) - a * Math.exp(b * t)) / (b - a));
    let worst = 0;
    for (const stepS of [0.01, 0.02, 0.05, 0.1, 0.25, 0.5]) {
      let state = atRest;
      for (let k = 1; k * stepS <= 3 + 1e-9; k++) {
        state = advance(textbook, state, { volts: 1 }, stepS);
        worst = Math.max(worst, off(state.speedRadPerS, right(k * stepS)));
      }
    }
    expect(worst).toBeLessThan(1e-11);
  });
});

describe('ripple', () => {
  const club = carOf(presets.club);

  test('short form', () => {
    const winding = { volts: 24, henry: 0.001, ohm: 1 };
    expect(linearRipple(winding, 0.5, 20_000)).toBeCloseTo(reference<number>('ripple'), 9);
    // A winding without resistance is what the short form is about.
    expect(continuousRipple({ ...winding, ohm: 1e-7 }, 0.5, 20_000)).toBeCloseTo(0.3, 8);
  });

  test('with resistance', () => {
    expect(off(continuousRipple(club, 0.5, 1000), reference<number>('ripple-exact'))).toBeLessThan(1e-7);
    const { peakA, leastA } = pwmPeriod(club, { duty: 0.5, offShort: 1, pwmHz: 1000, decay: 'slow' }, 4);
    expect(off(peakA - leastA, reference<number>('ripple-exact'))).toBeLessThan(1e-7);
    // Section "Continuous ripple" of the model's description: at 200 Hz 20.8 A where the short form says 130 A.
    expect(continuousRipple(club, 0.5, 200)).toBeCloseTo(20.8, 1);
    expect(linearRipple(club, 0.5, 200)).toBeCloseTo(130, 0);
  });

  test('the edge of continuous current', () => {
    const edge = continuousEdge(club, 0.2, 500);
    expect(off(edge, reference<number>('dcm-edge'))).toBeLessThan(percent);
    const at = (share: number) =>
      pwmPeriod(club, { duty: 0.2, offShort: 0, pwmHz: 500, decay: 'slow' }, share * edge * club.volts);
    expect(at(0.99).continuous).toBe(true);
    expect(at(1.01).continuous).toBe(false);
  });
});

/** Figures of the model's own description, worked out by a program apart from this one. */
describe('duty 20 % on the club motor', () => {
  const car = carOf(presets.club);
  const table = [
    { pwmHz: 200, meanA: [4.17, 3.26, 2.53, 1.26], speed: 0.91 },
    { pwmHz: 1000, meanA: [4.17, 2.52, 1.7, 0.69], speed: 0.81 },
    { pwmHz: 2000, meanA: [4.17, 2.01, 1.21, 0.43], speed: 0.71 },
    { pwmHz: 5000, meanA: [4.17, 1.27, 0.66, 0.21], speed: 0.51 },
  ];

  test.each(table)('without a short at $pwmHz Hz', ({ pwmHz, meanA, speed }) => {
    const switching = { duty: 0.2, offShort: 0, pwmHz, decay: 'slow' } as const;
    expect([0, 2, 4, 8].map((emf) => hundredths(pwmPeriod(car, switching, emf).meanA))).toEqual(meanA);
    expect(hundredths(choppedSpeed(car, switching) / steadySpeed(car))).toBe(speed);
  });

  test.each(table)('with the off time shorted at $pwmHz Hz', ({ pwmHz }) => {
    const switching = { duty: 0.2, offShort: 1, pwmHz, decay: 'slow' } as const;
    const means = [0, 2, 4, 8].map((emf) => hundredths(pwmPeriod(car, switching, emf).meanA));
    expect(means).toEqual([4.17, 0.83, -2.5, -9.17]);
    expect(hundredths(choppedSpeed(car, switching) / steadySpeed(car))).toBe(0.19);
  });

  test('heat at light load with the off time shorted', () => {
    const at = (pwmHz: number) => motorCurrents(car, presets.club, { ...defaultTuning, rectify: 'sync', pwmHz }).light;
    expect(at(200).rmsA).toBeCloseTo(7.2, 1);
    expect(Math.round(at(200).heatW)).toBe(31);
    expect(at(5000).heatW).toBeCloseTo(0.6, 1);
  });

  test('what frequency makes of a brake of 50 %, at 6 V', () => {
    const share = (pwmHz: number) =>
      (-pwmPeriod(car, { duty: 0, offShort: 0.5, pwmHz, decay: 'slow' }, 6).meanA * car.ohm) / 6;
    expect([200, 1000, 5000].map((hz) => hundredths(share(hz)))).toEqual([0.47, 0.37, 0.16]);
  });
});

const hundredths = (value: number) => Math.round(value * 100) / 100;

describe('against an outside stiff solver', () => {
  test('speed, current and way at full drive', () => {
    let worst = 0;
    for (const { preset, s, speedRadPerS, currentA } of solved.fullDrive) {
      const state = advance(carOf(presets[preset]), atRest, { volts: presets[preset].vs }, s);
      worst = Math.max(worst, off(state.speedRadPerS, speedRadPerS), off(state.currentA, currentA));
    }
    expect(solved.fullDrive).toHaveLength(9);
    expect(worst).toBeLessThan(1e-7);
  });

  test('braked by a short', () => {
    let worst = 0;
    for (const { preset, fromRadPerS, after20MsRadPerS, stopS, stopM } of solved.braked) {
      const car = carOf(presets[preset]);
      const start = { currentA: 0, speedRadPerS: fromRadPerS };
      worst = Math.max(worst, off(advance(car, start, { volts: 0 }, 0.02).speedRadPerS, after20MsRadPerS));
      const { timeS, distanceM } = stopOf(car, start, { volts: 0 });
      worst = Math.max(worst, off(timeS, stopS), off(distanceM, stopM));
    }
    expect(solved.braked).toHaveLength(6);
    expect(worst).toBeLessThan(1e-6);
  });

  test.each(solved.switched)('every switching by itself: $preset $duty $offShort $pwmHz Hz', (row) => {
    const car = carOf(presets[row.preset]);
    const at = (s: number) => switchedRun(car, atRest, () => ({ ...row, decay: 'slow' }), s).speedRadPerS;
    expect(off(at(0.05), row.after50MsRadPerS)).toBeLessThan(1e-6);
    expect(off(at(0.1), row.after100MsRadPerS)).toBeLessThan(1e-6);
  });

  test.each(solved.switched)('by means, accelerating: $preset $duty $offShort $pwmHz Hz', (row) => {
    const allowed = row.pwmHz < 500 ? 2 * percent : percent;
    const car = carOf({ ...presets[row.preset], mu: 1000 });
    const law = currentLaw(car, { ...row, decay: 'slow' });
    const at = (durationS: number) => heldRun(car, law, { durationS, start: rolling(car, 0) }).motorRadPerS;
    expect(off(at(0.05), row.after50MsRadPerS)).toBeLessThan(allowed);
    expect(off(at(0.1), row.after100MsRadPerS)).toBeLessThan(allowed);
  });

  test.each(solved.periods)('mean of a period: $preset $duty $offShort $pwmHz Hz $decay at $backEmfV V', (row) => {
    const car = carOf(presets[row.preset]);
    const { meanA, rmsA, supplyA } = pwmPeriod(car, row, row.backEmfV);
    expect(off(meanA, row.meanA)).toBeLessThan(1e-6);
    expect(off(rmsA, row.rmsA)).toBeLessThan(1e-6);
    expect(Math.abs(supplyA - row.supplyA)).toBeLessThan(1e-6 * (1 + Math.abs(row.supplyA)));
  });

  test.each(solved.tyres)('tyres, time to 3 m/s: magnet $fMagN N, rho $rho, ramp $rampUpMs ms', (row) => {
    const car = carOf({ ...presets[row.preset], fMagN: row.fMagN, rho: row.rho });
    const tuning = { ...defaultTuning, rectify: 'sync', rampUpMs: row.rampUpMs } as const;
    expect(off(timeToSpeed(tuning, car, 3) ?? Number.NaN, row.to3MPerS)).toBeLessThan(0.5 * percent);
  });

  test.each(solved.tyreStops)('tyres, stop from 5 m/s with a brake of $offShort', (row) => {
    const car = carOf(presets[row.preset]);
    const share = row.offShort / car.ohm;
    const end = heldRun(car, (emf) => ({ meanA: -share * emf, slope: -share, lagS: 0 }), {
      durationS: 20,
      start: rolling(car, row.fromMPerS),
      until: ({ carMPerS }) => carMPerS === 0,
    });
    expect(off(end.distanceM, row.stopM)).toBeLessThan(0.5 * percent);
  });
});

/** Where a run comes to rest, to the last bit. */
function stopOf(car: ReturnType<typeof carOf>, start: MotorState, feed: Parameters<typeof advance>[2]) {
  let timeS = 0;
  let distanceM = 0;
  let stopped = false;
  advance(car, start, feed, 30, (piece) => {
    if (stopped) return;
    timeS += piece.durationS;
    distanceM += car.metresPerRad * quadrature(piece, ({ speedRadPerS }) => speedRadPerS);
    stopped = piece.to.speedRadPerS === 0;
  });
  return { timeS, distanceM };
}

/** Nodes and weights of Gauss and Legendre with five points, for 0..1. */
const nodes = [
  0.5,
  0.5 - 0.2692346550528415,
  0.5 + 0.2692346550528415,
  0.5 - 0.453089922969332,
  0.5 + 0.453089922969332,
];
const weights = [128 / 450, 0.23931433524968326, 0.23931433524968326, 0.11846344252809454, 0.11846344252809454];

/** Integral over a piece, from its exact states: cut so short that five points leave nothing. */
function quadrature({ durationS, at }: Piece, value: (state: MotorState) => number): number {
  const parts = Math.max(1, Math.ceil(durationS / 1e-4));
  const h = durationS / parts;
  let sum = 0;
  for (let part = 0; part < parts; part++) {
    nodes.forEach((node, k) => {
      sum += h * (weights[k] as number) * value(at((part + node) * h));
    });
  }
  return sum;
}

describe('stops in closed form', () => {
  const quick = (motor: CarMotor) => carOf({ ...motor, lMh: motor.lMh / 1e4 });

  test.each(Object.entries(presets))('%s: a short, and coasting', (_, motor) => {
    // The closed form of the brake is for a winding without inductance.
    const car = quick(motor);
    for (const share of [0.25, 0.6, 1]) {
      const speedRadPerS = share * steadySpeed(car);
      const braked = stopOf(car, { currentA: 0, speedRadPerS }, { volts: 0 });
      const brake = brakedStop(car, speedRadPerS);
      expect(off(braked.timeS, brake.timeS)).toBeLessThan(0.1 * percent);
      expect(off(braked.distanceM, brake.distanceM)).toBeLessThan(0.1 * percent);
      const rolled = stopOf(car, { currentA: 0, speedRadPerS }, { dyingVolts: 0, backVolts: car.volts });
      const coast = coastStop(car, speedRadPerS);
      expect(off(rolled.timeS, coast.timeS)).toBeLessThan(1e-9);
      expect(off(rolled.distanceM, coast.distanceM)).toBeLessThan(1e-9);
    }
  });

  test('without viscous friction, and in the limit', () => {
    const car = carOf({ ...presets.club, b: 0 });
    const nearly = carOf({ ...presets.club, b: 1e-13 });
    expect(off(coastStop(car, 3000).timeS, coastStop(nearly, 3000).timeS)).toBeLessThan(1e-6);
    expect(off(coastStop(car, 3000).distanceM, coastStop(nearly, 3000).distanceM)).toBeLessThan(1e-6);
  });
});

describe('energy: what goes in is heat, friction or still there', () => {
  /** Share of the energy turned over that the books do not find. */
  function missing(
    car: ReturnType<typeof carOf>,
    start: MotorState,
    run: (seen: (piece: Piece) => void) => MotorState,
  ) {
    let brought = 0;
    let gone = 0;
    const end = run((piece) => {
      brought += (piece.volts ?? 0) * quadrature(piece, ({ currentA }) => currentA);
      gone += quadrature(
        piece,
        ({ currentA: i, speedRadPerS: w }) => car.ohm * i * i + car.b * w * w + car.friction * Math.abs(w),
      );
    });
    const kept = ({ currentA, speedRadPerS }: MotorState) =>
      (car.henry * currentA ** 2 + car.inertia * speedRadPerS ** 2) / 2;
    return Math.abs(brought + kept(start) - gone - kept(end)) / Math.max(Math.abs(brought), kept(start));
  }

  test.each(Object.entries(presets))('%s', (_, motor) => {
    const car = carOf(motor);
    const fast = { currentA: 0, speedRadPerS: steadySpeed(car) };
    const drive = missing(car, atRest, (seen) => advance(car, atRest, { volts: car.volts }, 0.5, seen));
    const brake = missing(car, fast, (seen) => advance(car, fast, { volts: 0 }, 1, seen));
    const coast = missing(car, fast, (seen) => advance(car, fast, { dyingVolts: 0, backVolts: car.volts }, 6, seen));
    const chopped = (switching: Switching, start: MotorState) =>
      missing(car, start, (seen) => switchedRun(car, start, () => switching, 0.2, seen));
    const driven = chopped({ duty: 0.3, offShort: 0, pwmHz: 500, decay: 'slow' }, atRest);
    const back = chopped({ duty: 0.4, offShort: 0.2, pwmHz: 2000, decay: 'fast' }, atRest);
    const pumped = chopped({ duty: 0, offShort: 0.5, pwmHz: 1000, decay: 'slow' }, fast);
    expect(Math.max(drive, brake, coast, driven, back, pumped)).toBeLessThan(1e-6);
  });

  test("chopped braking from 11 m/s gives the supply 2.1 J of 7.6 J back (figure of the model's description)", () => {
    const car = carOf(presets.club);
    const start = { currentA: 0, speedRadPerS: 11 / car.metresPerRad };
    let returned = 0;
    const brake = { duty: 0, offShort: 0.5, pwmHz: 1000, decay: 'slow' } as const;
    switchedRun(
      car,
      start,
      () => brake,
      2,
      (piece) => {
        returned -= piece.volts === car.volts ? car.volts * quadrature(piece, ({ currentA }) => currentA) : 0;
      },
    );
    expect((car.inertia * start.speedRadPerS ** 2) / 2).toBeCloseTo(7.6, 1);
    expect(returned).toBeCloseTo(2.1, 1);
  });
});

describe('tyres', () => {
  const sync = { ...defaultTuning, rectify: 'sync' } as const;
  const club = (more: Partial<CarMotor>) => carOf({ ...presets.club, ...more });
  const ramps = [0, 150, 300, 500];
  const times = (car: ReturnType<typeof carOf>) =>
    ramps.map((rampUpMs) => timeToSpeed({ ...sync, rampUpMs }, car, 3) as number);

  /** Figures of the model's own description, worked out by a program apart from this one. */
  test('the club motor could push 20 N, its tyres hold 0.65 N', () => {
    const car = club({});
    expect(hundredths(car.gripN)).toBe(0.65);
    expect((car.ke * car.volts) / car.ohm / car.metresPerRad).toBeGreaterThan(20);
  });

  test('with less grip when sliding a ramp has an optimum', () => {
    [136, 131, 123, 161].forEach((ms, k) => {
      expect(Math.abs((times(club({ fMagN: 3 }))[k] as number) * 1000 - ms)).toBeLessThan(1);
    });
  });

  test('with the same grip when sliding a ramp never helps', () => {
    for (const car of [club({ rho: 1 }), club({ rho: 1, fMagN: 3 })]) {
      const [at = 0, ...ramped] = times(car);
      for (const time of ramped) expect(time).toBeGreaterThanOrEqual(at * (1 - 0.1 * percent));
    }
  });

  test('the brake saturates at grip', () => {
    const car = club({});
    const brake = (offShort: number) =>
      tyreStop(car, brakeLaw(car, { offShort, pwmHz: 200, decay: 'slow' }), 5)?.distanceM;
    expect(brake(0.1)).toBeCloseTo(2.8, 1);
    expect(brake(1)).toBeCloseTo(2.8, 1);
  });

  test.each(Object.entries(presets))('%s: with huge grip it is the rigid car, within 0.2 %', (_, motor) => {
    const car = carOf({ ...motor, mu: 1000 });
    for (const durationS of [0.05, 0.1, 0.3]) {
      const rigid = advance(car, atRest, { volts: car.volts }, durationS).speedRadPerS;
      const law = currentLaw(car, { duty: 1, offShort: 0, pwmHz: 2000, decay: 'slow' });
      const { motorRadPerS } = heldRun(car, law, { durationS, start: rolling(car, 0) });
      expect(off(motorRadPerS, rigid)).toBeLessThan(0.2 * percent);
    }
  });
});

test('the exact step has no gap where two poles meet, and no overflow', () => {
  const system = (d: number) => ({ a11: -3 + d, a12: -1, a21: 1, a22: -1, g1: 2, g2: 0.5 });
  const [left, at, right] = [-1e-7, 0, 1e-7].map((d) => flowOf(system(d)).after([1, -2], 0.7));
  for (const part of [0, 1] as const) {
    const middle =
      ((left as readonly number[])[part] as number) / 2 + ((right as readonly number[])[part] as number) / 2;
    expect(middle).toBeCloseTo((at as readonly number[])[part] as number, 9);
  }
  const strong = carOf(presets.strong);
  const long = advance(strong, atRest, { volts: strong.volts }, 1e6);
  expect(long.speedRadPerS).toBeCloseTo(steadySpeed(strong), 6);
});
