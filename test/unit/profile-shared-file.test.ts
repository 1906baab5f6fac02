import { readFileSync } from 'node:fs';
import { Ajv2020 } from 'ajv/dist/2020.js';
import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { ExchangeProblem, type ProblemCode } from '../../server/profiles/exchange/problem.ts';
import { largestFile, readShared, readSharedOrBare, sharedText } from '../../server/profiles/exchange/shared-file.ts';
import { defaultTuning, type Profile } from '../../server/profiles/model/profile.ts';
import { exchange } from '../../views/texts/en/exchange.ts';
import { anyProfile } from '../helpers/shared-profiles.ts';

const profile: Profile = { name: 'Rain', notes: 'Wet Friday.', ...defaultTuning };
const good = sharedText(profile);
const bytesOf = (text: string) => new TextEncoder().encode(text);

/** The class of what is wrong with a file; null for one that is taken. */
function problem(file: string | Uint8Array, read = readShared): ProblemCode | null {
  try {
    read(typeof file === 'string' ? bytesOf(file) : file);
    return null;
  } catch (error) {
    if (!(error instanceof ExchangeProblem)) throw error;
    expect(exchange.problem(error)).toMatch(/^[A-Z].*\.$/s);
    return error.code;
  }
}

/** The good file with one piece of its text replaced, the hash taken out so that it does not speak first. */
function changed(from: string, to: string): string {
  const text = good.replace(/"hash":"[^"]*",/, '');
  expect(text).toContain(from);
  return text.replace(from, () => to);
}

const points = (...list: number[][]) =>
  changed('{"kind":"shape","shape":0}', JSON.stringify({ kind: 'points', points: list }));

describe('a file that is written', () => {
  test('is read again as it was, whatever the profile', () => {
    fc.assert(
      fc.property(anyProfile, (any) => {
        const { profile: read, hash } = readShared(bytesOf(sharedText(any)));
        expect(read).toEqual(any);
        expect(sharedText(any)).toContain(hash);
      }),
    );
  });

  test('holds the same text for the same profile, and nothing but the profile', () => {
    const reordered = Object.fromEntries(Object.entries(profile).reverse()) as unknown as Profile;
    expect(sharedText(reordered)).toBe(good);
    expect(Object.keys(JSON.parse(good)).sort()).toEqual(['hash', 'profile', 'type', 'v']);
  });
});

/** Files that must not be taken, with the class of each. */
const bad: [string, string | Uint8Array, ProblemCode][] = [
  ['a byte more than the largest', good.padEnd(largestFile + 1), 'TOO_LARGE'],
  ['a byte order mark', `\ufeff${good}`, 'BAD_UTF8'],
  ['Latin 1', Uint8Array.from([...bytesOf(good.slice(0, 20)), 0xe4, ...bytesOf(good.slice(20))]), 'BAD_UTF8'],
  ['half a file', good.slice(0, -9), 'NOT_JSON'],
  ['nothing', '', 'NOT_JSON'],
  ['a key that stands twice', changed('"minDrive":80', '"minDrive":80,"minDrive":0'), 'DUPLICATE_KEY'],
  ['the same key in an escape', changed('"minDrive":80', '"minDrive":80,"min\\u0044rive":0'), 'DUPLICATE_KEY'],
  ['seven deep', changed('"closingOnly":false', '"closingOnly":[[[[[0]]]]]'), 'TOO_DEEP'],
  ['minus nought', changed('"rampUpMs":0', '"rampUpMs":-0'), 'RANGE'],
  ['a number beyond all numbers', changed('"rampUpMs":0', '"rampUpMs":1e999'), 'RANGE'],
  ['half a surrogate pair', changed('Rain', 'R\\ud83dain'), 'BAD_TEXT'],
  ['a version of later', changed('"v":1', '"v":2'), 'VERSION'],
  ['a file of something else', changed('ctl-profile', 'shopping'), 'VERSION'],
  ['too much minimum drive', changed('"minDrive":80', '"minDrive":601'), 'RANGE'],
  ['half a permille', changed('"minDrive":80', '"minDrive":80.5'), 'RANGE'],
  ['a number in quotes', changed('"minDrive":80', '"minDrive":"80"'), 'RANGE'],
  ['a setting that is missing', changed('"minDrive":80,', ''), 'RANGE'],
  ['a name of 41 characters', changed('Rain', 'x'.repeat(41)), 'RANGE'],
  ['a stranger among the settings', changed('"minDrive":80', '"minDrive":80,"boost":1'), 'UNKNOWN_KEY'],
  ['a key that objects have of themselves', changed('"minDrive":80', '"minDrive":80,"__proto__":{}'), 'UNKNOWN_KEY'],
  ['a calibration', changed('"v":1', '"v":1,"calibration":{"released":3000,"pressed":900}'), 'CALIBRATION_NOT_ALLOWED'],
  ['a calibration below a stranger', changed('"v":1', '"v":1,"unit":{"pressed":900}'), 'CALIBRATION_NOT_ALLOWED'],
  ['maximum drive too near', changed('"maxDrive":1000', '"maxDrive":129'), 'RANGE'],
  ['a zone that ends before it begins', changed('"zoneFrom":0', '"zoneFrom":301'), 'RANGE'],
  ['sync with fast', changed('"async"', '"sync"').replace('"slow"', '"fast"'), 'RANGE'],
  ['a curve that falls', points([0, 0], [300, 500], [600, 400], [1000, 1000]), 'RANGE'],
  ['points too near', points([0, 0], [300, 300], [319, 400], [1000, 1000]), 'RANGE'],
  ['a curve that begins above nothing', points([0, 10], [1000, 1000]), 'RANGE'],
  ['a point of three numbers', points([0, 0, 0], [1000, 1000]), 'RANGE'],
  ['ten points', points(...Array.from({ length: 9 }, (_, i) => [i * 100, i * 100]), [1000, 1000]), 'RANGE'],
  ['text that turns its surroundings', changed('Rain', 'Ra\u202ein'), 'BAD_TEXT'],
  ['a line end', changed('Friday', 'Fri\\nday'), 'BAD_TEXT'],
  ['text that is not in normal form C', changed('Rain', 'Ra\u0308in'), 'BAD_TEXT'],
  ['another setup than the hash says', good.replace('"minDrive":80', '"minDrive":90'), 'HASH_MISMATCH'],
];

describe('bad files', () => {
  test.each(bad)('%s: %s', (_, file, code) => {
    expect(problem(file)).toBe(code);
  });

  test('some of them pass a schema check after JSON.parse, so that alone is not enough', () => {
    const schema = JSON.parse(readFileSync('test/reference/data/controller/profile.schema.json', 'utf8'));
    const valid = new Ajv2020({ strict: true, strictTuples: false }).compile(schema);
    const passes = bad.filter(([, file]) => {
      try {
        return valid(JSON.parse(typeof file === 'string' ? file : new TextDecoder().decode(file)));
      } catch {
        return false;
      }
    });
    expect(passes.map(([name]) => name)).toEqual(
      expect.arrayContaining(['a byte more than the largest', 'a key that stands twice', 'minus nought']),
    );
    expect(passes.length).toBeGreaterThan(6);
  });

  test('the checks come in their order', () => {
    const twice = (text: string) => text.replace('"v":1', '"v":1,"v":1');
    expect(problem(twice(good).padEnd(largestFile + 1))).toBe('TOO_LARGE');
    expect(problem(`\ufeff${twice(good)}`)).toBe('BAD_UTF8');
    expect(problem(twice(changed('"minDrive":80', '"minDrive":9999')))).toBe('DUPLICATE_KEY');
    expect(problem(changed('"minDrive":80', '"minDrive":9999,"pressed":1,"x":1'))).toBe('RANGE');
    expect(problem(changed('"minDrive":80', '"minDrive":600').replace('"maxDrive":1000', '"maxDrive":100,"x":1'))).toBe(
      'UNKNOWN_KEY',
    );
    expect(problem(good.replace('Rain', 'Ra\u202ein').replace('"minDrive":80', '"minDrive":90'))).toBe('BAD_TEXT');
  });
});

describe('good files', () => {
  test.each([
    ['without a hash', changed('"v":1', '"v":1')],
    ['with blanks', `\n ${JSON.stringify(JSON.parse(good), null, 2)} \n`],
    ['with numbers written otherwise', changed('"minDrive":80', '"minDrive":8.0e1')],
    ['as large as can be', good.padEnd(largestFile)],
    ['without notes', changed('"notes":"Wet Friday.",', '')],
    ['with a name of 40 characters beyond the first plane', changed('Rain', '🏁'.repeat(40))],
  ])('%s', (_, file) => {
    expect(problem(file)).toBeNull();
  });

  test('a profile alone is taken where that is asked for', () => {
    const bare = JSON.stringify(profile);
    expect(problem(bare)).toBe('VERSION');
    expect(problem(bare, readSharedOrBare)).toBeNull();
    expect(problem(JSON.stringify({ ...profile, v: 1 }), readSharedOrBare)).toBe('VERSION');
  });
});
