import { describe, expect, test } from 'vitest';
import { setupHash } from '../../server/profiles/exchange/setup-hash.ts';
import { defaultTuning } from '../../server/profiles/model/profile.ts';

describe('setup hash', () => {
  test('of the profile that everybody begins with', () => {
    expect(setupHash(defaultTuning)).toBe('e5389393d65cd413cdceb975d6a0e3bad8f54fe3e857b4cff2eeddf131755e96');
  });

  test('does not depend on the order of keys, nor on what is no setting', () => {
    const backwards = Object.fromEntries(Object.entries(defaultTuning).reverse()) as unknown as typeof defaultTuning;
    expect(setupHash({ ...backwards, name: 'Rain', notes: 'wet' } as typeof defaultTuning)).toBe(
      setupHash(defaultTuning),
    );
  });

  test('differs for another setting', () => {
    expect(setupHash({ ...defaultTuning, pwmHz: 2001 })).not.toBe(setupHash(defaultTuning));
  });
});
