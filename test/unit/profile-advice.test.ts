import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { bringsHeat, proposal, proposals } from '../../server/profiles/advice/proposal.ts';
import { type AdviceRow, rows, sections } from '../../server/profiles/advice/rows.ts';
import { groupsOf, type Step } from '../../server/profiles/advice/steps.ts';
import { compareProfiles } from '../../server/profiles/compare/compare.ts';
import { groups } from '../../server/profiles/compare/features.ts';
import { checkAcross, checkRanges } from '../../server/profiles/exchange/rules.ts';
import { underLimit } from '../../server/profiles/model/limit.ts';
import { defaultTuning, type Profile, type Tuning } from '../../server/profiles/model/profile.ts';
import { changeWords } from '../../views/profile-changes.ts';
import { advice } from '../../views/texts/en/advice.ts';
import { anyTuning } from '../helpers/tunings.ts';

const names = Object.keys(rows) as AdviceRow[];
const profileOf = (tuning: Partial<Tuning>): Profile => ({ name: 'Tried', ...defaultTuning, ...tuning });
const anyProfile = anyTuning.map(profileOf);
const anyRow = fc.constantFrom(...names);
const anyLimit = fc.option(fc.integer({ min: 100, max: 1000 }));

/** Keys of the settings in which two profiles differ. */
const changed = (a: Profile, b: Profile) =>
  [...new Set([...Object.keys(a), ...Object.keys(b)])].filter(
    (key) => JSON.stringify(a[key as keyof Profile]) !== JSON.stringify(b[key as keyof Profile]),
  );

describe('the table of advice', () => {
  it('has words for every row, in one section each', () => {
    expect(Object.keys(advice.rows)).toEqual(names);
    expect(Object.values(sections).flat()).toEqual(names);
    expect(Object.keys(advice.sections)).toEqual(Object.keys(sections));
    const says = names.map((row) => advice.rows[row].says);
    expect(new Set(says).size).toBe(names.length);
  });

  it('says where to look if there is nothing to propose', () => {
    for (const row of names) {
      expect(advice.rows[row].look.length, row).toBeGreaterThan(0);
      if (rows[row].length === 0) expect(advice.rows[row], row).toHaveProperty('elsewhere');
    }
  });
});

describe('a proposal', () => {
  it('changes one setting, within its range, never above the race limit, and only what it claims to be about', () => {
    const seen = new Set<string>();
    fc.assert(
      fc.property(anyProfile, anyRow, anyLimit, (profile, row, limit) => {
        for (const { profile: tried, change } of proposals(profile, row, limit)) {
          seen.add(`${row} ${change.setting}`);
          expect(() => checkRanges(tried)).not.toThrow();
          expect(() => checkAcross(tried)).not.toThrow();
          expect(changed(profile, tried)).toHaveLength(1);
          // What the form suggests for a note can be saved.
          const note = advice.note(changeWords(profile, tried), advice.rows[row].says);
          expect(note).toMatch(/^[A-Z][^\n]{20,279}$/);
          expect(tried.maxDrive).toBeLessThanOrEqual(Math.max(profile.maxDrive, limit ?? 1000));
          if (tried.maxDrive > profile.maxDrive) expect(tried.maxDrive).toBeLessThanOrEqual(limit ?? 1000);
          const { main, also } = groupsOf[change.setting];
          expect(change.group).toBe(main);
          // As it is driven: there the change is felt, and nothing else.
          const moved = compareProfiles(underLimit(profile, limit), underLimit(tried, limit)).groups;
          expect(moved[main]).toBeGreaterThan(0);
          for (const group of groups) if (group !== main && !also.includes(group)) expect(moved[group]).toBe(0);
        }
      }),
      { numRuns: 2500 },
    );
    // Every step of every row was proposed at least once, so none is left that never can be.
    const steps = names.flatMap((row) => (rows[row] as readonly Step[]).map(({ setting }) => `${row} ${setting}`));
    expect(steps.filter((step) => !seen.has(step))).toEqual([]);
  }, 60_000);

  it('of either end of drive is about that end before all', () => {
    fc.assert(
      fc.property(anyProfile, anyRow, (profile, row) => {
        for (const { profile: tried, change } of proposals(profile, row, null)) {
          if (change.setting !== 'minDrive') continue;
          const moved = compareProfiles(profile, tried).groups;
          expect(moved.launch).toBeGreaterThan(moved.drive);
        }
      }),
      { numRuns: 2000 },
    );
  });

  it.each<[AdviceRow, Partial<Tuning>, Partial<Tuning>]>([
    ['spinsOut', {}, { rampUpMs: 40 }],
    ['spinsOut', { rampUpMs: 480 }, { rampUpMs: 500 }],
    ['spinsOut', { rampUpMs: 500 }, { curve: { kind: 'shape', shape: -15 } }],
    ['lazyOut', { rampUpMs: 20 }, { rampUpMs: 0 }],
    ['lazyOut', {}, { curve: { kind: 'shape', shape: 15 } }],
    ['lazyStraight', { maxDrive: 980 }, { maxDrive: 1000 }],
    ['jumps', {}, { minDrive: 60 }],
    ['jumps', { minDrive: 0 }, { curve: { kind: 'shape', shape: -10 } }],
    ['deadTravel', { minDrive: 300, maxDrive: 360 }, { minDrive: 310 }],
    ['lateSurge', { curve: { kind: 'shape', shape: -50 } }, { curve: { kind: 'shape', shape: -35 } }],
    ['lateSurge', { curve: { kind: 'shape', shape: -5 } }, { curve: { kind: 'shape', shape: 0 } }],
    ['lateSurge', { curve: { kind: 'shape', shape: 30 } }, { maxDrive: 950 }],
    ['brakesLate', { brakeFull: 950 }, { brakeFull: 1000 }],
    ['brakesLate', {}, { drag: { strength: 100, zoneFrom: 0, zoneTo: 300, closingOnly: false } }],
    ['noPartBrake', {}, { drag: { strength: 100, zoneFrom: 0, zoneTo: 350, closingOnly: false } }],
    ['pinned', { brakeFull: 0, rectify: 'sync' }, { rectify: 'async' }],
    ['smallChild', {}, { maxDrive: 900 }],
    ['smallChild', { maxDrive: 600 }, { maxDrive: 450 }],
    ['smallChild', { maxDrive: 450 }, { curve: { kind: 'shape', shape: -30 } }],
    ['hotController', {}, { pwmHz: 1330 }],
    ['noise', { pwmHz: 4000 }, { pwmHz: 5000 }],
  ])('for %s of %j tries %j first', (row, before, after) => {
    const profile = profileOf(before);
    expect(proposal(profile, row, null)?.profile).toEqual({ ...profile, ...after });
  });

  it('lifts and lowers the points of a curve, and both ways are the same way back', () => {
    const curve = {
      kind: 'points',
      points: [
        [0, 0],
        [250, 100],
        [500, 300],
        [1000, 1000],
      ],
    } as const;
    const later = proposal(profileOf({ curve }), 'nervous', null)?.profile.curve;
    // Shape -20 of 10 % and 30 %: k y/(1 + (k-1) y) with k = 8^-0.2 = 0.6598, by hand.
    expect(later).toEqual({
      kind: 'points',
      points: [
        [0, 0],
        [250, 68],
        [500, 220],
        [1000, 1000],
      ],
    });
    // Shape 15, k = 1.3660, but not past straight.
    const straighter = proposal(profileOf({ curve }), 'lateSurge', null)?.profile.curve;
    expect(straighter).toEqual({
      kind: 'points',
      points: [
        [0, 0],
        [250, 132],
        [500, 369],
        [1000, 1000],
      ],
    });
  });

  it('knows the race limit', () => {
    const full = profileOf({});
    expect(proposal(full, 'lazyStraight', 700)).toBeNull();
    expect(proposal(profileOf({ maxDrive: 680 }), 'lazyStraight', 700)?.profile.maxDrive).toBe(700);
    // Less begins at what is driven, or nothing would be felt.
    expect(proposal(full, 'innerLane', 700)?.profile.maxDrive).toBe(670);
    expect(proposal(full, 'smallChild', 700)?.profile.maxDrive).toBe(600);
    expect(proposal(profileOf({ minDrive: 240 }), 'deadTravel', 300)?.profile.minDrive).toBe(250);
  });

  it('is none where the controller is not what to look at', () => {
    for (const row of ['onePlace', 'fullHeat', 'noBrake', 'borrowed'] as const) {
      expect(proposal(profileOf({}), row, null)).toBeNull();
    }
  });

  it('comes with a word of care where it brings heat', () => {
    const before = profileOf({ brakeFull: 500 });
    const care = (row: AdviceRow) => bringsHeat(row, before, proposal(before, row, null)?.profile ?? before);
    expect(['hotMotor', 'brakesLate', 'noPartBrake', 'hotController'].map((row) => care(row as AdviceRow))).toEqual([
      true,
      true,
      true,
      true,
    ]);
    expect([care('spinsOut'), care('onePlace'), care('stopsDead')]).toEqual([false, false, false]);
  });
});
