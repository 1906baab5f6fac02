import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { compareProfiles } from '../../server/profiles/compare/compare.ts';
import { groups } from '../../server/profiles/compare/features.ts';
import { usualFelt } from '../../server/profiles/compare/felt.ts';
import { sizeOf } from '../../server/profiles/compare/findings.ts';
import { lockingOn } from '../../server/profiles/compare/locking.ts';
import { defaultTuning, type Tuning } from '../../server/profiles/model/profile.ts';
import { presets } from '../../server/profiles/motor/motor.ts';
import { comparisonWords } from '../../views/texts/en/compare.ts';
import { anyTuning } from '../helpers/tunings.ts';

const tuned = (changes: Partial<Tuning>): Tuning => ({ ...defaultTuning, ...changes });
const drag = (strength: number, more: Partial<Tuning['drag']> = {}) => ({ ...defaultTuning.drag, strength, ...more });
const words = (from: Partial<Tuning>, to: Partial<Tuning>, locks?: (tuning: Tuning) => boolean) =>
  comparisonWords(compareProfiles(tuned(from), tuned(to), { locks }));

describe('the distance of two setups', () => {
  it('is symmetric, 0 for equal ones, and keeps the triangle inequality', () => {
    fc.assert(
      fc.property(anyTuning, anyTuning, anyTuning, (a, b, c) => {
        const distance = (from: Tuning, to: Tuning) => compareProfiles(from, to).distance;
        expect(distance(a, b)).toBe(distance(b, a));
        expect(distance(a, a)).toBe(0);
        expect(distance(a, c)).toBeLessThanOrEqual(distance(a, b) + distance(b, c) + 1e-9);
      }),
      { numRuns: 1000 },
    );
  });

  it('is the length of its groups', () => {
    fc.assert(
      fc.property(anyTuning, anyTuning, (a, b) => {
        const comparison = compareProfiles(a, b);
        expect(Object.keys(comparison.groups)).toEqual([...groups]);
        const squares = Object.values(comparison.groups).reduce((sum, size) => sum + size * size, 0);
        expect(comparison.distance).toBeCloseTo(Math.sqrt(squares), 9);
      }),
    );
  });

  it('is 0 where a setting has no effect', () => {
    fc.assert(
      fc.property(anyTuning, anyTuning, (a, b) => {
        const full = { ...a, rectify: 'sync', decay: 'slow' } as const;
        expect(compareProfiles(full, { ...full, drag: b.drag }).distance).toBe(0);
        const none = { ...a, drag: { ...a.drag, strength: 0 } };
        expect(compareProfiles(none, { ...none, drag: { ...b.drag, strength: 0 } }).distance).toBe(0);
      }),
    );
  });

  it('knows two ways of saying the same curve', () => {
    const straight = {
      kind: 'points',
      points: [
        [0, 0],
        [400, 400],
        [1000, 1000],
      ],
    } as const;
    expect(compareProfiles(defaultTuning, tuned({ curve: straight })).distance).toBeLessThan(1e-12);
  });

  // The amounts are those of the model: design choice, common practice, no source. The figures are worked out by hand.
  it.each<[Partial<Tuning>, Partial<Tuning>, Partial<Record<(typeof groups)[number], number>>]>([
    [{ rampUpMs: 0 }, { rampUpMs: 120 }, { ramp: 6 }],
    [{ brakeFull: 1000 }, { brakeFull: 800 }, { brake: 4 }],
    [{ pwmHz: 2000 }, { pwmHz: 500 }, { pwm: 2 / Math.log2(1.25) }],
    [{}, { decay: 'fast' }, { decay: 3 }],
    // 30 % short at 6 of 20 positions (5 to 30 %), both opening and closing: 3 amounts, sqrt(12/20) of a full row.
    [{}, { drag: drag(300) }, { partBrake: 3 * Math.sqrt(12 / 20) }],
    [{}, { drag: drag(300, { closingOnly: true }) }, { partBrake: 3 * Math.sqrt(6 / 20) }],
    [{ releaseBand: 100 }, { releaseBand: 100, drag: drag(300) }, { partBrake: 3 * Math.sqrt(8 / 20) }],
    [{}, { rectify: 'sync' }, { partBrake: 10 * Math.sqrt(2) }],
  ])('measures %j to %j as %j', (from, to, expected) => {
    const { groups: sizes } = compareProfiles(tuned(from), tuned(to));
    for (const group of groups) expect(sizes[group], group).toBeCloseTo(expected[group] ?? 0, 9);
  });

  it('takes a change of duty that is the same everywhere as one change', () => {
    // Below 5 % of the trigger nothing is compared, and both curves are flat from there on.
    const flat = (y: number) =>
      ({
        kind: 'points',
        points: [
          [0, 0],
          [30, y],
          [980, y],
          [1000, 1000],
        ],
      }) as const;
    const from = tuned({ minDrive: 0, releaseBand: 0, curve: flat(400) });
    const { groups: sizes } = compareProfiles(from, { ...from, curve: flat(480) });
    expect(sizes.drive).toBeCloseTo(2 * Math.sqrt(19 / 20), 9);
  });

  it('is measured in the amounts a club has chosen', () => {
    const felt = { ...usualFelt, rampUpMs: 60 };
    expect(compareProfiles(tuned({}), tuned({ rampUpMs: 120 }), { felt }).groups.ramp).toBe(2);
  });
});

describe('the words for a comparison', () => {
  it('say nothing under half an amount, slightly up to one, much over four', () => {
    expect([0, 0.49, 0.5, 1, 1.01, 4, 4.01].map(sizeOf)).toEqual([
      null,
      null,
      'slight',
      'slight',
      'plain',
      'plain',
      'much',
    ]);
  });

  it('are one sentence where hardly anything is felt', () => {
    const hardly = ['You will hardly feel a difference.'];
    expect(words({}, {})).toEqual(hardly);
    expect(words({ minDrive: 80, rampUpMs: 0 }, { minDrive: 85, rampUpMs: 9 })).toEqual(hardly);
    expect(words({ rectify: 'sync' }, { rectify: 'sync', drag: drag(1000) })).toEqual(hardly);
  });

  it.each<[string, Partial<Tuning>, Partial<Tuning>]>([
    ['Leaves rest harder: 8 % to 11 %.', {}, { minDrive: 110 }],
    ['Leaves rest slightly softer: 8 % to 6.5 %.', {}, { minDrive: 65 }],
    ['Full power comes later: 0.08 s instead of at once.', {}, { rampUpMs: 80 }],
    ['Full power comes much later: 0.12 s instead of at once.', {}, { rampUpMs: 120 }],
    ['Full power comes sooner: at once instead of 0.05 s.', { rampUpMs: 50 }, {}],
    ['Brakes less at full release: 100 % to 80 %.', {}, { brakeFull: 800 }],
    ['Brakes slightly more at full release: 80 % to 85 %.', { brakeFull: 800 }, { brakeFull: 850 }],
    ['Brakes more at part trigger: none, then 30 % from 0 to 30 % trigger.', {}, { drag: drag(300) }],
    [
      'Brakes less at part trigger: 30 % from 0 to 30 % trigger, then 30 % from 0 to 30 % trigger, only while closing.',
      { drag: drag(300) },
      { drag: drag(300, { closingOnly: true }) },
    ],
    [
      'Brakes much more at part trigger: none, then 100 % at any trigger (off-time braking full).',
      {},
      { rectify: 'sync' },
    ],
    [
      'Brakes differently at part trigger: 30 % from 0 to 30 % trigger, then 30 % from 31 to 60 % trigger.',
      { drag: drag(300) },
      { drag: drag(300, { zoneFrom: 310, zoneTo: 600 }) },
    ],
    [
      'Switching frequency 2000 to 1000 Hz: stronger and less proportional at small trigger, more heat in the motor.',
      {},
      { pwmHz: 1000 },
    ],
    [
      'Switching frequency 500 to 2000 Hz: much weaker and more proportional at small trigger, less heat in the motor, chopped brake weaker.',
      { brakeFull: 500, pwmHz: 500 },
      { brakeFull: 500, pwmHz: 2000 },
    ],
    [
      'Switching frequency 2000 to 1000 Hz: the same pull, more heat in the motor.',
      { rectify: 'sync' },
      { rectify: 'sync', pwmHz: 1000 },
    ],
    ['Decay mode slow to fast: weaker at small trigger, current goes back to the supply.', {}, { decay: 'fast' }],
    ['Fuller early: up to +17 points at 40 % trigger.', {}, { curve: { kind: 'shape', shape: 35 } }],
    ['Fuller late: up to \u221217 points at 60 % trigger.', {}, { curve: { kind: 'shape', shape: -35 } }],
    [
      'Drive begins slightly later in the trigger: release band 2 % to 8 %, up to \u221211 points at 5 % trigger.',
      {},
      { releaseBand: 80 },
    ],
  ])('say "%s"', (expected, from, to) => {
    expect(words(from, to)).toEqual([expected]);
  });

  it('name a lower limit by what it does at full trigger, and the largest difference first', () => {
    expect(words({}, { maxDrive: 800 })).toEqual([
      'Much less at full trigger: 100 % to 80 %.',
      'Less drive: up to \u221220 points at 100 % trigger.',
    ]);
  });

  it('tell both directions of a curve that is crossed', () => {
    const crossed = {
      kind: 'points',
      points: [
        [0, 0],
        [300, 500],
        [700, 600],
        [1000, 1000],
      ],
    } as const;
    expect(words({}, { curve: crossed })).toEqual([
      expect.stringMatching(
        /^Fuller early: up to \+[\d.]+ points at [23][05] % trigger, but \u2212[\d.]+ points at [78][05] % trigger\.$/,
      ),
    ]);
  });

  it('say that both brakes only lock the wheels, where both do', () => {
    const sentence = 'Brakes less at full release: 100 % to 80 %; on this car both lock the wheels.';
    const less = ['Brakes less at full release: 100 % to 80 %.'];
    expect(words({}, { brakeFull: 800 }, () => true)).toEqual([sentence]);
    expect(words({}, { brakeFull: 800 }, ({ brakeFull }) => brakeFull > 900)).toEqual(less);
    // Without a magnet a tenth of the club motor's brake is more than its tyres hold; a heavy magnet holds all of it.
    const bare = lockingOn(presets.club);
    expect(words({}, { brakeFull: 800 }, bare)).toEqual([sentence]);
    expect(words({}, { brakeFull: 20 }, bare)[0]).toBe('Brakes much less at full release: 100 % to 2 %.');
    expect(words({}, { brakeFull: 800 }, lockingOn({ ...presets.club, fMagN: 60 }))).toEqual(less);
  });

  it('never leave anybody without a sentence, and speak of no group that is not felt', () => {
    fc.assert(
      fc.property(anyTuning, anyTuning, (a, b) => {
        const comparison = compareProfiles(a, b);
        const felt = Object.values(comparison.groups).filter((size) => sizeOf(size) !== null).length;
        expect(comparison.findings).toHaveLength(felt);
        const said = comparisonWords(comparison);
        expect(said).toHaveLength(Math.max(1, felt));
        for (const text of said) expect(text).toMatch(/^[A-Z][^\n]*\.$/);
        expect(said.join(' ')).not.toMatch(/undefined|NaN|null/);
      }),
    );
  });
});
