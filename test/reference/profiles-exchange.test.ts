import { readFileSync } from 'node:fs';
import { sha256 } from '@noble/hashes/sha2.js';
import { bytesToHex } from '@noble/hashes/utils.js';
import { Ajv2020 } from 'ajv/dist/2020.js';
import fc from 'fast-check';
import { encode } from 'uqr';
import { describe, expect, test } from 'vitest';
import { bitsOfBytes } from '../../server/profiles/exchange/bits.ts';
import { canonicalText } from '../../server/profiles/exchange/canonical.ts';
import { crc24 } from '../../server/profiles/exchange/crc24.ts';
import { toSymbols } from '../../server/profiles/exchange/crockford.ts';
import { ExchangeProblem } from '../../server/profiles/exchange/problem.ts';
import { readShared, sharedText } from '../../server/profiles/exchange/shared-file.ts';
import { qrText } from '../../server/profiles/exchange/short-code.ts';
import { defaultTuning } from '../../server/profiles/model/profile.ts';
import { anyProfile } from '../helpers/shared-profiles.ts';

/** Numbers from outside this project; each names its source in the file. */
const references: { checks: { id: string; value: unknown }[] } = read('references.json');
const reference = <T>(id: string) => references.checks.find((check) => check.id === id)?.value as T;

function read<T>(name: string): T {
  return JSON.parse(readFileSync(new URL(`./data/controller/${name}`, import.meta.url), 'utf8'));
}

const ascii = (text: string) => new TextEncoder().encode(text);

describe('canonical text (RFC 8785)', () => {
  test('its sample object', () => {
    const sample =
      '{"numbers":[333333333.33333329,1E30,4.50,2e-3,0.000000000000000000000000001],' +
      '"string":"\\u20ac$\\u000F\\u000aA\'\\u0042\\u0022\\u005c\\\\\\"\\/","literals":[null,true,false]}';
    const text = canonicalText(JSON.parse(sample));
    expect(text).toBe(reference('jcs-sample'));
    // The hash of the same text with Python's hashlib.
    expect(bytesToHex(sha256(ascii(text)))).toBe('2d5e01a318d0f0879ab568c4be289c8b1f64ef8921a53c6277d5e069978baacb');
  });

  test('the order of keys: by UTF-16 code units', () => {
    const keys = reference<string[]>('jcs-keys');
    const shuffled = [...keys].sort().map((key) => [String.fromCodePoint(Number.parseInt(key, 16)), 0]);
    const order = [...canonicalText(Object.fromEntries(shuffled)).matchAll(/"([^"]+)"/g)];
    expect(order.map(([, key]) => key?.codePointAt(0)?.toString(16))).toEqual(keys);
  });

  test('numbers as ECMAScript prints them', () => {
    const numbers = reference<[string, string][]>('jcs-numbers');
    expect(numbers.length).toBeGreaterThan(5);
    for (const [bits, text] of numbers) {
      const view = new DataView(new ArrayBuffer(8));
      view.setBigUint64(0, BigInt(`0x${bits}`));
      expect(canonicalText(view.getFloat64(0))).toBe(text);
    }
  });
});

describe('sums and symbols', () => {
  test('SHA-256 of "abc"', () => {
    expect(bytesToHex(sha256(ascii('abc')))).toBe(reference('sha256-abc'));
  });

  test('CRC-24/OPENPGP of "123456789"', () => {
    expect(crc24(ascii('123456789')).toString(16)).toBe(reference('crc24'));
  });

  test('Crockford base 32 of ASCII words', () => {
    expect(toSymbols(bitsOfBytes(ascii('Hello')))).toBe(reference('crockford-hello'));
    expect(toSymbols(bitsOfBytes(ascii('base')))).toBe(reference<string[]>('crockford')[0]);
  });
});

describe('QR symbols', () => {
  test('how many characters of a code the versions hold at level M', () => {
    const capacities = reference<number[]>('qr-capacity');
    expect(capacities).toHaveLength(5);
    for (const [i, most] of capacities.entries()) {
      const version = (length: number) => encode(`CP1:${'A'.repeat(length - 4)}`, { ecc: 'M' }).version;
      expect([version(most), version(most + 1)]).toEqual([i + 1, i + 2]);
    }
  });

  test.each([
    ['one number', null, 0, 31, 2],
    ['nine points', null, 7, 58, 3],
    ['one number and a name of 24 bytes', 'x'.repeat(24), 0, 70, 4],
    ['nine points and a name of 31 bytes', 'x'.repeat(31), 7, 108, 5],
  ])('a profile of %s', (_, name, inner, characters, version) => {
    const points = [0, ...Array.from({ length: inner }, (_, i) => 100 * (i + 1)), 1000].map((at) => [at, at] as const);
    const tuning = inner === 0 ? defaultTuning : { ...defaultTuning, curve: { kind: 'points', points } as const };
    const text = qrText(tuning, name);
    expect(text).toMatch(/^[0-9A-Z $%*+\-./:]+$/);
    expect([text.length, encode(text, { ecc: 'M' }).version]).toEqual([characters, version]);
  });
});

describe('the published schema, by Ajv', () => {
  const valid = new Ajv2020({ strict: true, strictTuples: false }).compile(read<object>('profile.schema.json'));

  /** What our reader asks beyond the schema; these are told last, so a document that breaks the schema never gets there. */
  const beyond = (error: ExchangeProblem) =>
    error.code === 'HASH_MISMATCH' ||
    error.code === 'BAD_TEXT' ||
    (error.code === 'RANGE' && error.rule !== 'value' && error.rule !== 'missing');

  function judged(text: string): 'taken' | 'beyond' | 'refused' {
    try {
      readShared(ascii(text));
      return 'taken';
    } catch (error) {
      if (!(error instanceof ExchangeProblem)) throw error;
      return beyond(error) ? 'beyond' : 'refused';
    }
  }

  test('agrees on every right document', () => {
    fc.assert(
      fc.property(anyProfile, (profile) => {
        const text = sharedText(profile);
        expect(valid(JSON.parse(text))).toBe(true);
        expect(judged(text)).toBe('taken');
      }),
      { numRuns: 1000 },
    );
  });

  test('agrees on wrong documents, but for the rules that no schema can hold', () => {
    const seen = { taken: 0, beyond: 0, refused: 0 };
    fc.assert(
      fc.property(anyProfile, fc.array(anyChange, { minLength: 1, maxLength: 3 }), (profile, changes) => {
        const document = JSON.parse(sharedText(profile));
        for (const change of changes) change(document);
        const verdict = judged(JSON.stringify(document));
        seen[verdict]++;
        expect(verdict !== 'refused').toBe(valid(document));
      }),
      { numRuns: 6000 },
    );
    for (const count of Object.values(seen)) expect(count).toBeGreaterThan(100);
  });
});

type Branch = Record<string, unknown>;

/** A change to a document, at any depth: a key taken out, put in, or given another value. */
const anyChange: fc.Arbitrary<(document: Branch) => void> = fc
  .record({
    branch: fc.nat(),
    key: fc.nat(),
    kind: fc.constantFrom('set', 'set', 'nudge', 'nudge', 'nudge', 'remove', 'add'),
    value: fc.oneof(
      fc.integer({ min: -300, max: 6000 }),
      fc.constantFrom(null, true, false, '', 'slow', 'fast', 'sync', 'points', 'shape', 'ctl-profile', 0.5, 1e30, 1, 2),
      fc.string({ maxLength: 50 }).filter((text) => !/\p{Cs}/u.test(text)),
      fc.constantFrom(
        [],
        {},
        [[0, 0]],
        [
          [0, 0],
          [1000, 1000],
        ],
        [
          [0, 0, 0],
          [1000, 1000],
        ],
        [0, 1000],
      ),
    ),
    added: fc.constantFrom('notes', 'shape', 'points', 'hash', 'calibration', 'toString', '__proto__', 'x'),
  })
  .map(({ branch, key, kind, value, added }) => (document) => {
    const branches = branchesOf(document);
    const at = branches[branch % branches.length] as Branch;
    const keys = Object.keys(at);
    const name = keys[key % Math.max(1, keys.length)] ?? added;
    if (kind === 'remove') delete at[name];
    else if (kind === 'nudge' && typeof at[name] === 'number') at[name] = at[name] + (key % 7) - 3;
    else
      Object.defineProperty(at, kind === 'add' ? added : name, {
        value: structuredClone(value),
        enumerable: true,
        configurable: true,
        writable: true,
      });
  });

/** The document and every object in it. */
function branchesOf(value: unknown): Branch[] {
  if (typeof value !== 'object' || value === null || Array.isArray(value)) return [];
  return [value as Branch, ...Object.values(value).flatMap(branchesOf)];
}
