import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { readForm } from '../../server/plugins/forms.ts';
import { editorForm, idleSettings, percentText } from '../../server/profiles/editor-form.ts';
import { editorSchema } from '../../server/profiles/editor-schema.ts';
import { offShort } from '../../server/profiles/model/brake.ts';
import { problemsOf } from '../../server/profiles/model/check.ts';
import { curveFunction } from '../../server/profiles/model/curve.ts';
import { defaultTuning, ranges } from '../../server/profiles/model/profile.ts';
import { profileEditor as t } from '../../views/texts/en/profile-editor.ts';
import { editorFields, profileWith } from '../helpers/profile-forms.ts';
import { anyTuning } from '../helpers/tunings.ts';

const read = (fields: Record<string, string>) => readForm(editorSchema, fields);
/** What a form with these fields changed says, by field. */
const said = (changes: Record<string, string>) => read({ ...editorFields(profileWith()), ...changes }).form.errors;

describe("the editor's form", () => {
  test('shows a profile so that sending it unchanged gives the same profile', () => {
    fc.assert(
      fc.property(anyTuning, (tuning) => {
        const profile = { name: 'Evening', notes: 'Soft tyres', ...tuning };
        expect(read(editorFields(profile))).toMatchObject({ ok: true, values: profile });
      }),
    );
  });

  test('says percent with a decimal only where there is one', () => {
    expect([0, 5, 80, 85, 1000].map(percentText)).toEqual(['0', '0.5', '8', '8.5', '100']);
  });

  test('of a curve given by a number, points lie on it', () => {
    fc.assert(
      fc.property(fc.integer({ min: -100, max: 100 }), (shape) => {
        const typed = editorForm(profileWith({ curve: { kind: 'shape', shape } })).typed;
        const { value } = curveFunction({ kind: 'shape', shape });
        for (const [number, x] of [25, 50, 75].entries()) {
          expect(typed[`point${number + 1}x`]).toBe(String(x));
          expect(Number(typed[`point${number + 1}y`])).toBeCloseTo(100 * value(x / 100), 0);
        }
      }),
    );
  });

  test('never lets through what the rules of a profile refuse', () => {
    const number = fc.oneof(fc.integer({ min: -20, max: 120 }).map(String), fc.constantFrom('', 'x', '8,5', '1e2'));
    const changes = fc.dictionary(
      fc.constantFrom(
        ...['minDrive', 'maxDrive', 'releaseBand', 'shape', 'rampUpMs', 'brakeFull', 'dragStrength', 'zoneFrom'],
        ...['zoneTo', 'pwmHz', 'point1x', 'point1y', 'point2x', 'point2y', 'point7x', 'point7y'],
      ),
      number,
    );
    const kinds = fc.record({
      curveKind: fc.constantFrom('shape', 'points'),
      decay: fc.constantFrom('slow', 'fast'),
      rectify: fc.constantFrom('async', 'sync'),
    });
    const within = (value: number, [min, max]: readonly [number, number]) => {
      expect(Number.isInteger(value) && value >= min && value <= max, String(value)).toBe(true);
    };
    fc.assert(
      fc.property(changes, kinds, (numbers, chosen) => {
        const result = read({ ...editorFields(profileWith()), ...numbers, ...chosen });
        if (!result.ok) {
          expect(Object.keys(result.form.errors).length).toBeGreaterThan(0);
          return;
        }
        const { drag, curve, ...rest } = result.values;
        expect(problemsOf(result.values)).toEqual([]);
        for (const name of ['minDrive', 'maxDrive', 'releaseBand', 'rampUpMs', 'brakeFull', 'pwmHz'] as const) {
          within(rest[name], ranges[name]);
        }
        within(drag.strength, ranges.dragStrength);
        if (curve.kind === 'shape') within(curve.shape, ranges.shape);
      }),
      { numRuns: 500 },
    );
  });
});

describe('what is wrong is said at its field', () => {
  test.each([
    [{ name: ' ' }, 'name'],
    [{ name: '👩‍👩‍👧‍👦'.repeat(8) }, 'name'],
    [{ notes: 'n'.repeat(281) }, 'notes'],
    [{ notes: 'over\u202ethere' }, 'notes'],
    [{ minDrive: '60.1' }, 'minDrive'],
    [{ minDrive: '-1' }, 'minDrive'],
    [{ minDrive: '' }, 'minDrive'],
    [{ releaseBand: '15.1' }, 'releaseBand'],
    [{ rampUpMs: '501' }, 'rampUpMs'],
    [{ rampUpMs: '2.5' }, 'rampUpMs'],
    [{ shape: '101' }, 'shape'],
    [{ pwmHz: '199' }, 'pwmHz'],
    [{ pwmHz: '5001' }, 'pwmHz'],
    [{ decay: 'medium' }, 'decay'],
    [{ curveKind: 'points', point1x: '1' }, 'point1x'],
    [{ curveKind: 'points', point3x: '99' }, 'point3x'],
    [{ curveKind: 'points', point2x: '26' }, 'point2x'],
    [{ curveKind: 'points', point2y: '' }, 'point2y'],
    [{ curveKind: 'points', point2x: '' }, 'point2x'],
    [{ curveKind: 'points', point3y: '20' }, 'point3y'],
    [{ curveKind: 'points', point1y: '101' }, 'point1y'],
  ])('%j', (changes: Record<string, string>, field) => {
    expect(Object.keys(said(changes))).toEqual([field]);
  });

  test('rules between two fields', () => {
    expect(said({ minDrive: '50', maxDrive: '54.9' })).toEqual({ maxDrive: t.maxTooLow });
    expect(said({ minDrive: '50', maxDrive: '55' })).toEqual({});
    expect(said({ zoneFrom: '31', zoneTo: '30' })).toEqual({ zoneTo: t.zoneEnds });
    expect(said({ zoneFrom: '30', zoneTo: '30' })).toEqual({});
    expect(said({ rectify: 'sync', decay: 'fast' })).toEqual({ decay: t.syncFast });
  });

  test('all at once, so that nobody is sent back twice', () => {
    const wrong = said({ name: '', minDrive: '61', zoneFrom: '31', zoneTo: '30', rectify: 'sync', decay: 'fast' });
    expect(Object.keys(wrong).sort()).toEqual(['decay', 'minDrive', 'name', 'zoneTo']);
  });

  test('of what is not in use nothing is wrong', () => {
    expect(said({ curveKind: 'points', shape: 'gone' })).toEqual({});
    expect(said({ curveKind: 'shape', point1x: 'gone' })).toEqual({});
  });
});

describe('points', () => {
  test('rows may stand in any order, and empty ones are left out', () => {
    const empty = { point1x: '', point1y: '', point2x: '', point2y: '', point3x: '', point3y: '' };
    const result = read({
      ...editorFields(profileWith()),
      ...empty,
      curveKind: 'points',
      ...{ point2x: '80', point2y: '60', point5x: '20', point5y: '40.5' },
    });
    expect(result).toMatchObject({
      ok: true,
      values: {
        curve: {
          kind: 'points',
          points: [
            [0, 0],
            [200, 405],
            [800, 600],
            [1000, 1000],
          ],
        },
      },
    });
  });

  test('none at all is a straight line', () => {
    const empty = { point1x: '', point1y: '', point2x: '', point2y: '', point3x: '', point3y: '' };
    const result = read({ ...editorFields(profileWith()), ...empty, curveKind: 'points' });
    expect(result).toMatchObject({
      ok: true,
      values: {
        curve: {
          points: [
            [0, 0],
            [1000, 1000],
          ],
        },
      },
    });
  });
});

describe('settings without effect', () => {
  test('are named only where nothing changes without them', () => {
    fc.assert(
      fc.property(anyTuning, fc.nat(1000), (tuning, strength) => {
        if (idleSettings(tuning).drag === null) return;
        const { drag } = tuning;
        // With a strength of 0 the zone does nothing; with the other two reasons the strength does nothing either.
        const other = drag.strength === 0 ? { ...drag, zoneFrom: 0, zoneTo: 1000 } : { ...drag, strength };
        for (let x = 0; x <= 1000; x += 5) {
          for (const closing of [false, true]) {
            expect(offShort({ ...tuning, drag: other }, x / 1000, closing)).toBe(offShort(tuning, x / 1000, closing));
          }
        }
      }),
    );
  });

  test('each for its reason', () => {
    const drag = { strength: 300, zoneFrom: 0, zoneTo: 300, closingOnly: false };
    const why = (set: object) => idleSettings({ ...defaultTuning, drag, ...set }).drag;
    expect(why({})).toBeNull();
    expect(why({ rectify: 'sync' })).toBe('sync');
    expect(why({ drag: { ...drag, strength: 0 } })).toBe('off');
    expect(why({ drag: { ...drag, zoneTo: 20 } })).toBe('covered');
    expect(why({ drag: { ...drag, zoneTo: 21 } })).toBeNull();
  });
});
