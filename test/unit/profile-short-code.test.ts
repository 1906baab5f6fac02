import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { bitsOf, bytesOf } from '../../server/profiles/exchange/bits.ts';
import { crc24 } from '../../server/profiles/exchange/crc24.ts';
import { toSymbols } from '../../server/profiles/exchange/crockford.ts';
import { ExchangeProblem, type ProblemCode } from '../../server/profiles/exchange/problem.ts';
import { nameInCode, qrText, readCode, shortCode } from '../../server/profiles/exchange/short-code.ts';
import { defaultTuning, type Tuning, tuningOf } from '../../server/profiles/model/profile.ts';
import { randomFrom } from '../../server/shared/random.ts';
import { anyProfile } from '../helpers/shared-profiles.ts';

const symbols = '0123456789ABCDEFGHJKMNPQRSTVWXYZ';
const standard = 'CP1-2051Y-G500F-M0000-4P3X0-S09F4-9D';

function problem(code: string): ProblemCode | null {
  try {
    readCode(code);
    return null;
  } catch (error) {
    if (error instanceof ExchangeProblem) return error.code;
    throw error;
  }
}

/** The same number of profiles every time. */
const profiles = fc.sample(anyProfile, { numRuns: 60, seed: 20261126 });

describe('a code', () => {
  test('of the profile that everybody begins with', () => {
    expect(shortCode(defaultTuning)).toBe(standard);
    expect(qrText(defaultTuning)).toBe('CP1:2051YG500FM00004P3X0S09F49D');
  });

  test('is read again as it was, whatever the profile', () => {
    fc.assert(
      fc.property(anyProfile, fc.boolean(), (profile, withName) => {
        const name = withName ? profile.name : null;
        const expected = { tuning: tuningOf(profile), name: name && nameInCode(name) };
        expect(readCode(shortCode(profile, name))).toEqual(expected);
        expect(readCode(qrText(profile, name))).toEqual(expected);
      }),
      { numRuns: 500 },
    );
  });

  test('is read as people write it', () => {
    for (const typed of [
      standard.toLowerCase(),
      standard.replaceAll('-', ' '),
      ` ${standard.replaceAll('-', '')}\n`,
      'CPI-2O51Y-G5OOF-MOOOO-4P3XO-SO9F4-9D',
      'cpl-2o5ly-g5oof-moooo-4p3xo-so9f4-9d',
      standard.replaceAll('-', '–'),
    ]) {
      expect(readCode(typed).tuning).toEqual(defaultTuning);
    }
  });

  test('carries as much of a name as fits, in whole characters', () => {
    expect(nameInCode('x'.repeat(40))).toBe('x'.repeat(31));
    expect(nameInCode('🏁'.repeat(8))).toBe('🏁'.repeat(7));
    expect(nameInCode('€'.repeat(11))).toBe('€'.repeat(10));
    expect(nameInCode('Rain')).toBe('Rain');
  });
});

describe('damage is found', () => {
  test('every other character in every place, and every swap of neighbours', () => {
    let tried = 0;
    let missed = 0;
    for (const [i, profile] of profiles.entries()) {
      const code = qrText(profile, i % 2 === 0 ? profile.name : null);
      for (let at = 4; at < code.length; at++) {
        for (const symbol of `${symbols}U`) {
          if (symbol === code[at]) continue;
          tried++;
          if (problem(code.slice(0, at) + symbol + code.slice(at + 1)) === null) missed++;
        }
        const [left = '', right = ''] = [code[at], code[at + 1]];
        if (at + 1 === code.length || left === right) continue;
        tried++;
        if (problem(code.slice(0, at) + right + left + code.slice(at + 2)) === null) missed++;
      }
    }
    expect(missed).toBe(0);
    expect(tried).toBeGreaterThan(80_000);
  }, 120_000);

  test('a character too few or too many, anywhere', () => {
    for (const profile of profiles.slice(0, 15)) {
      const code = qrText(profile, profile.name);
      for (let at = 4; at < code.length; at++) {
        expect(problem(code.slice(0, at) + code.slice(at + 1))).not.toBeNull();
        for (const symbol of symbols) expect(problem(code.slice(0, at) + symbol + code.slice(at))).not.toBeNull();
      }
    }
  });

  test('none of 200 000 codes at random is accepted', () => {
    const random = randomFrom(1);
    let accepted = 0;
    for (let i = 0; i < 200_000; i++) {
      const length = 20 + (random.uint32() % 85);
      const code = Array.from({ length }, () => symbols[random.uint32() % 32]).join('');
      if (problem(`CP1:${code}`) === null) accepted++;
    }
    expect(accepted).toBe(0);
  }, 120_000);

  test('of the prefix', () => {
    expect(problem(standard.replace('CP1', 'CP2'))).toBe('VERSION');
    expect(problem(standard.replace('CP1', 'PC1'))).toBe('NOT_A_CODE');
    expect(problem('')).toBe('NOT_A_CODE');
    expect(problem('CP1')).toBe('BAD_LENGTH');
    expect(problem(`${standard}${' '.repeat(200)}`)).toBe('TOO_LARGE');
    expect(problem(standard.replace('9D', '9U'))).toBe('BAD_CHARACTER');
    expect(problem(standard.replace('9D', '9ſ'))).toBe('BAD_CHARACTER');
  });
});

describe('a code whose sum is right and whose content is not', () => {
  /** Signs any bits, as somebody who knows the format could. */
  const signed = (content: (0 | 1)[]) => {
    const bits = [...content];
    while ((bits.length + 24) % 5 !== 0) bits.push(0);
    const sum = crc24([...new TextEncoder().encode('CP1'), ...bytesOf(bits)]);
    return `CP1:${toSymbols([...bits, ...bitsOf(sum, 24)])}`;
  };
  /** The bits of a code of settings, whether or not they are right, without sum and filling. */
  const content = ({ version = 1, flags = 0, shape = 100, ...tuning }: Partial<Tuning> & Record<string, unknown>) => {
    const t = { ...defaultTuning, ...tuning };
    return [
      ...bitsOf(version as number, 4),
      ...bitsOf(flags as number, 5),
      ...bitsOf(t.minDrive, 10),
      ...bitsOf(t.maxDrive, 10),
      ...bitsOf(t.releaseBand, 8),
      ...bitsOf(t.rampUpMs, 9),
      ...bitsOf(t.brakeFull, 10),
      ...bitsOf(t.drag.strength, 10),
      ...bitsOf(t.drag.zoneFrom, 10),
      ...bitsOf(t.drag.zoneTo, 10),
      ...bitsOf(t.pwmHz, 13),
      ...bitsOf(shape as number, 8),
    ];
  };
  const zeros = (length: number) => Array.from({ length }, () => 0 as const);

  test.each<[string, (0 | 1)[], ProblemCode | null]>([
    ['right', content({}), null],
    ['a version of later', content({ version: 2 }), 'VERSION'],
    ['too much minimum drive', content({ minDrive: 1000 }), 'RANGE'],
    ['too low a frequency', content({ pwmHz: 199 }), 'RANGE'],
    ['too full a curve', content({ shape: 201 }), 'RANGE'],
    ['maximum drive too near', content({ minDrive: 500, maxDrive: 549 }), 'RANGE'],
    ['a zone that ends before it begins', content({ drag: { ...defaultTuning.drag, zoneFrom: 400 } }), 'RANGE'],
    ['fast and sync', content({ flags: 0b01100 }), 'RANGE'],
    ['a name of no bytes', [...content({ flags: 1 }), ...bitsOf(0, 5)], 'RANGE'],
    ['a name with a line end', [...content({ flags: 1 }), ...bitsOf(1, 5), ...bitsOf(10, 8)], 'BAD_TEXT'],
    ['a name that is no UTF-8', [...content({ flags: 1 }), ...bitsOf(1, 5), ...bitsOf(0xff, 8)], 'BAD_TEXT'],
    ['a name that ends early', [...content({ flags: 1 }), ...bitsOf(9, 5), ...bitsOf(65, 8)], 'BAD_LENGTH'],
    ['five bits left over', [...content({}), ...zeros(5)], 'BAD_LENGTH'],
    ['a bit left over that is not nought', [...content({}), 0, 0, 0, 1], 'BAD_LENGTH'],
    ['settings that end early', content({}).slice(0, 80), 'BAD_LENGTH'],
  ])('%s', (_, bits, code) => {
    expect(problem(signed(bits))).toBe(code);
  });
});
