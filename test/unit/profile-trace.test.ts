import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { ClosingDetector, offShort } from '../../server/profiles/model/brake.ts';
import { defaultTuning, type Tuning } from '../../server/profiles/model/profile.ts';
import { rampStep, type TracePoint, traceRows } from '../../server/profiles/model/trace.ts';
import { anyTuning } from '../helpers/tunings.ts';

const tuned = (changes: Partial<Tuning>): Tuning => ({ ...defaultTuning, ...changes });
const share = fc.double({ min: 0, max: 1, noNaN: true });

describe('the ramp', () => {
  const settings = { minDrive: 100, rampUpMs: 400 };

  it('takes 0.28 s from 10 to 80 % at 400 ms, in steps of any length', () => {
    for (const stepMs of [0.1, 1, 7, 40]) {
      let duty = 0;
      let steps = 0;
      for (; duty < 0.8 - 1e-9; steps++) duty = rampStep(settings, duty, 0.8, stepMs);
      expect(steps).toBe(Math.round(280 / stepMs));
      expect(duty).toBeCloseTo(0.8, 9);
    }
  });

  it('starts at minimum drive at once, and never delays power off', () => {
    expect(rampStep(settings, 0, 0.8, 0)).toBe(0.1);
    expect(rampStep(settings, 0, 0.05, 0)).toBe(0.05);
    expect(rampStep(settings, 0.8, 0.3, 1)).toBe(0.3);
    expect(rampStep(settings, 0.8, 0, 0)).toBe(0);
    expect(rampStep({ ...settings, rampUpMs: 0 }, 0, 0.8, 1)).toBe(0.8);
  });

  it('never passes what the trigger asks for', () => {
    fc.assert(
      fc.property(
        anyTuning,
        share,
        share,
        fc.double({ min: 0, max: 1000, noNaN: true }),
        (tuning, before, target, ms) => {
          const after = rampStep(tuning, before, target, ms);
          expect(after).toBeLessThanOrEqual(target);
          expect(after).toBeGreaterThanOrEqual(Math.min(before, target));
        },
      ),
    );
  });
});

describe('the brake law', () => {
  const settings = tuned({
    releaseBand: 50,
    brakeFull: 900,
    drag: { strength: 300, zoneFrom: 100, zoneTo: 400, closingOnly: false },
  });

  it.each([
    ['released', 0, 0.9],
    ['at the release band', 0.05, 0.9],
    ['before the zone', 0.0999, 0],
    ['at the start of the zone', 0.1, 0.3],
    ['in the zone', 0.2, 0.3],
    ['at the end of the zone', 0.4, 0.3],
    ['after the zone', 0.4001, 0],
    ['pressed', 1, 0],
  ])('%s', (_where, x, expected) => {
    expect(offShort(settings, x, false)).toBe(expected);
    expect(offShort(settings, x, true)).toBe(expected);
    const closing = { ...settings, drag: { ...settings.drag, closingOnly: true } };
    expect(offShort(closing, x, true)).toBe(expected);
    expect(offShort(closing, x, false)).toBe(x <= 0.05 ? 0.9 : 0);
    expect(offShort({ ...settings, rectify: 'sync' }, x, false)).toBe(x <= 0.05 ? 0.9 : 1);
  });

  it('takes a zone of one point, and one that covers everything', () => {
    const point = tuned({ drag: { strength: 500, zoneFrom: 300, zoneTo: 300, closingOnly: false } });
    expect([0.299, 0.3, 0.301].map((x) => offShort(point, x, false))).toEqual([0, 0.5, 0]);
    const all = tuned({ releaseBand: 0, drag: { strength: 500, zoneFrom: 0, zoneTo: 1000, closingOnly: false } });
    expect([0, 1e-9, 1].map((x) => offShort(all, x, false))).toEqual([1, 0.5, 0.5]);
  });
});

describe('telling that the trigger closes', () => {
  /** Steps of a millisecond at a steady speed in travels a second. */
  const move = (detector: ClosingDetector, x: number, speed: number, steps: number) => {
    let closing = false;
    for (let i = 1; i <= steps; i++) closing = detector.step(x + (speed * i) / 1000, 0.001);
    return { x: x + (speed * steps) / 1000, closing };
  };

  it('needs 0.20 travels a second, and holds until less than 0.05', () => {
    const detector = new ClosingDetector();
    detector.step(1, 0);
    const still = move(detector, 1, -0.19, 300);
    expect(still.closing).toBe(false);
    const closing = move(detector, still.x, -0.21, 300);
    expect(closing.closing).toBe(true);
    const slower = move(detector, closing.x, -0.06, 300);
    expect(slower.closing).toBe(true);
    expect(move(detector, slower.x, -0.04, 300).closing).toBe(false);
  });

  it('smooths with 10 ms: at twice the threshold it takes 10 ms ln 2', () => {
    const detector = new ClosingDetector();
    detector.step(1, 0);
    let ms = 0;
    for (let x = 1; !detector.step((x -= 0.4 / 1000), 0.001); ) ms++;
    // 1 - e^(-n/10) reaches 1/2 at 6.93 ms; the count above leaves out the step that tells.
    expect(ms + 1).toBe(7);
  });

  it('says nothing at the first position, and is not moved by a step of no length', () => {
    const detector = new ClosingDetector();
    expect(detector.step(0.7, 0.001)).toBe(false);
    expect(detector.step(0.2, 0)).toBe(false);
    expect(detector.step(0.2, 0.001)).toBe(false);
  });
});

describe('a trigger trace', () => {
  const pressed: TracePoint[] = [
    [0, 0],
    [100, 0],
    [101, 1],
    [800, 1],
    [801, 0],
    [900, 0],
  ];

  it('has a row for every millisecond', () => {
    const rows = traceRows(defaultTuning, pressed);
    expect(rows.map(({ ms }) => ms)).toEqual(Array.from({ length: 901 }, (_, ms) => ms));
    expect(rows[100]).toEqual({ ms: 100, x: 0, closing: false, duty: 0, offShort: 1 });
    expect(rows[101]).toEqual({ ms: 101, x: 1, closing: false, duty: 1, offShort: 0 });
    expect(rows[801]).toEqual({ ms: 801, x: 0, closing: true, duty: 0, offShort: 1 });
    expect(rows[900]?.closing).toBe(false);
  });

  it('ramps from minimum drive, and lets go at once', () => {
    const rows = traceRows(tuned({ minDrive: 100, rampUpMs: 400, maxDrive: 800 }), pressed);
    expect(rows[101]?.duty).toBeCloseTo(0.1 + 1 / 400, 12);
    expect(rows[379]?.duty).toBeLessThan(0.8);
    expect(rows[380]?.duty).toBeCloseTo(0.8, 9);
    expect(rows[801]?.duty).toBe(0);
  });

  it('takes a jump: two points at one time', () => {
    const rows = traceRows(tuned({ minDrive: 100, rampUpMs: 400, maxDrive: 800 }), [
      [0, 0],
      [100, 0],
      [100, 1],
      [500, 1],
    ]);
    expect([rows[100]?.x, rows[101]?.x]).toEqual([0, 1]);
    // 280 ms after the jump.
    expect(rows[380]?.duty).toBeCloseTo(0.8, 9);
    expect(rows[379]?.duty).toBeLessThan(0.8 - 1e-4);
  });

  it('brakes in the zone, both ends included, on the way in and out', () => {
    const drag = { strength: 400, zoneFrom: 100, zoneTo: 300, closingOnly: false };
    const there: TracePoint[] = [
      [0, 0],
      [1000, 1],
      [2000, 0],
    ];
    const braking = (tuning: Tuning) =>
      traceRows(tuning, there)
        .filter(({ offShort: s }) => s === 0.4)
        .map(({ ms }) => ms);
    const [from, to] = [
      Array.from({ length: 201 }, (_, i) => 100 + i),
      Array.from({ length: 201 }, (_, i) => 1700 + i),
    ];
    expect(braking(tuned({ drag }))).toEqual([...from, ...to]);
    expect(braking(tuned({ drag: { ...drag, closingOnly: true } }))).toEqual(to);
  });

  it('starts with the trigger where it is, and runs on the clock of its points', () => {
    const rows = traceRows(tuned({ rampUpMs: 100 }), [
      [5000, 0.5],
      [5002, 0.5],
    ]);
    expect(rows.map(({ ms }) => ms)).toEqual([5000, 5001, 5002]);
    expect(rows.map(({ duty }) => duty)).toEqual([0.08, 0.09, 0.1].map((duty) => expect.closeTo(duty, 12)));
  });
});
