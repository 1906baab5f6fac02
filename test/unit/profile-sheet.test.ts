import { describe, expect, test } from 'vitest';
import type { UnitSheet } from '../../server/profiles/convert/sheet.ts';
import { readSheet, unlimitedSheet } from '../../server/profiles/convert/sheet-schema.ts';

const percent = { min: 0, max: 1000, step: 10 };

const sheet: UnitSheet = {
  minDrive: { min: 0, max: 300, step: 10 },
  maxDrive: { min: 300, max: 1000, step: 50 },
  releaseBand: null,
  rampUpMs: { min: 0, max: 400, step: 25 },
  brakeFull: percent,
  drag: { strength: percent, zone: percent, closingOnly: false },
  pwmHz: { list: [500, 1000, 2000] },
  decay: ['slow'],
  rectify: ['async', 'sync'],
  curve: { kind: 'table', n: 9, yStep: 5 },
};

const read = (changes: Record<string, unknown>) => readSheet({ ...sheet, ...changes });
const problem = (changes: Record<string, unknown>) => {
  const answer = read(changes);
  return answer.ok ? null : answer.problem;
};

describe('a unit’s sheet', () => {
  test('is read as it stands', () => {
    expect(readSheet(sheet)).toEqual({ ok: true, sheet });
    expect(readSheet(JSON.parse(JSON.stringify(sheet)))).toEqual({ ok: true, sheet });
    expect(readSheet(unlimitedSheet)).toEqual({ ok: true, sheet: unlimitedSheet });
  });

  test('what is left out the unit has not', () => {
    const answer = readSheet({ decay: ['slow'], rectify: ['async'] });
    expect(answer).toMatchObject({
      ok: true,
      sheet: { minDrive: null, maxDrive: null, drag: null, pwmHz: null, curve: null, brakeFull: null },
    });
  });

  test('frequencies come in any order', () => {
    expect(read({ pwmHz: { list: [2000, 500, 2000] } })).toMatchObject({ sheet: { pwmHz: { list: [500, 2000] } } });
  });

  test('what the unit does beyond a profile is cut off', () => {
    expect(
      read({
        minDrive: { min: -50, max: 900, step: 20 },
        maxDrive: { min: 0, max: 1000, step: 30 },
        pwmHz: { list: [50, 500, 16000] },
        curve: { kind: 'points', max: 16 },
      }),
    ).toMatchObject({
      ok: true,
      sheet: {
        // Steps still count from the unit's own least.
        minDrive: { min: 10, max: 600, step: 20 },
        maxDrive: { min: 120, max: 1000, step: 30 },
        pwmHz: { list: [500] },
        curve: { kind: 'points', max: 9 },
      },
    });
  });

  test('the keys of a curve tell its kind', () => {
    expect(read({ curve: { n: 5, yStep: 10 } })).toMatchObject({
      sheet: { curve: { kind: 'table', n: 5, yStep: 10 } },
    });
    expect(read({ curve: { min: -50, max: 50, step: 10 } })).toMatchObject({ sheet: { curve: { kind: 'number' } } });
    expect(read({ curve: { max: 5 } })).toMatchObject({ sheet: { curve: { kind: 'points', max: 5 } } });
  });

  test.each([
    ['no object', [], ''],
    ['no object', 'sheet', ''],
  ])('%s', (_, value, path) => {
    expect(readSheet(value)).toMatchObject({ ok: false, problem: { path } });
  });

  test.each<[string, Record<string, unknown>, string]>([
    ['a key nobody knows', { turbo: true }, ''],
    ['least above most', { minDrive: { min: 200, max: 100, step: 10 } }, 'minDrive'],
    ['a step of 0', { minDrive: { min: 0, max: 100, step: 0 } }, 'minDrive.step'],
    ['no step', { minDrive: { min: 0, max: 100 } }, 'minDrive.step'],
    ['nothing that a profile holds', { minDrive: { min: 601, max: 700, step: 10 } }, 'minDrive'],
    ['no allowed value that a profile holds', { maxDrive: { min: 0, max: 150, step: 200 } }, 'maxDrive'],
    ['parts of a permille', { minDrive: { min: 0, max: 100.5, step: 10 } }, 'minDrive.max'],
    ['no frequency', { pwmHz: { list: [] } }, 'pwmHz.list'],
    ['frequencies beyond a profile', { pwmHz: { list: [100, 16000] } }, 'pwmHz.list'],
    ['half a hertz', { pwmHz: { list: [500.5] } }, 'pwmHz.list.0'],
    ['no decay mode', { decay: [] }, 'decay'],
    ['no decay mode at all', { decay: undefined }, 'decay'],
    ['a decay mode nobody knows', { decay: ['medium'] }, 'decay.0'],
    ['the same twice', { rectify: ['sync', 'sync'] }, 'rectify'],
    ['fast decay with the terminals shorted', { decay: ['fast'], rectify: ['sync'] }, 'rectify'],
    ['a curve of no kind', { curve: { kind: 'knob' } }, 'curve.kind'],
    ['a table of one entry', { curve: { kind: 'table', n: 1, yStep: 5 } }, 'curve.n'],
    ['a table too coarse for a limit', { curve: { kind: 'table', n: 9, yStep: 200 } }, 'curve.yStep'],
    ['one point', { curve: { kind: 'points', max: 1 } }, 'curve.max'],
    ['half a drag brake', { drag: { strength: percent } }, 'drag.zone'],
    [
      'no room between minimum and maximum drive',
      { minDrive: { min: 310, max: 600, step: 10 }, maxDrive: { min: 100, max: 390, step: 50 } },
      'maxDrive',
    ],
  ])('is refused for %s', (_, changes, path) => {
    const found = problem(changes);
    expect(found?.path).toBe(path);
    expect(found?.sentence).toMatch(/^[A-Z].*\.$/);
  });
});
