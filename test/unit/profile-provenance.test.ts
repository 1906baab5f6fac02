import { describe, expect, test } from 'vitest';
import { setupHash } from '../../server/profiles/exchange/setup-hash.ts';
import { defaultTuning, type Profile } from '../../server/profiles/model/profile.ts';
import type { ProfileVersion } from '../../server/profiles/store.ts';
import { provenanceWords } from '../../views/profile-provenance.tsx';

const version = (number: number, set: Partial<Profile>, origin: ProfileVersion['origin'] = null) => {
  const setup: Profile = { name: 'Rain', ...defaultTuning, ...set };
  return { version: number, setup, hash: setupHash(setup), origin };
};
const from = { via: 'share', from: 'Pip', version: 3, hash: setupHash(defaultTuning) } as const;

describe('where a profile came from', () => {
  test('names the owner, their version and every setting that was changed since', () => {
    const changed = { brakeFull: 700, drag: { ...defaultTuning.drag, strength: 100 } };
    expect(provenanceWords([version(2, changed), version(1, {}, from)])).toBe(
      'From Pip’s version 3, changed: release brake, drag brake.',
    );
    const points = {
      curve: {
        kind: 'points',
        points: [
          [0, 0],
          [1000, 1000],
        ],
      },
    } as const;
    expect(provenanceWords([version(1, {}, from), version(3, points)])).toBe(
      'From Pip’s version 3, changed: throttle curve, curve by points.',
    );
    expect(provenanceWords([version(1, points, from), version(3, {})])).toMatch(/changed: throttle curve, curve by/);
  });

  test('a new name changes no setting', () => {
    expect(provenanceWords([version(2, { name: 'Mine' }), version(1, {}, from)])).toBe(
      'From Pip’s version 3, settings unchanged.',
    );
  });

  test('says what it knows of other sources', () => {
    const code = { via: 'code', hash: from.hash } as const;
    expect(provenanceWords([version(1, {}, code)])).toBe('From a code, settings unchanged.');
    const library = { via: 'library', version: 2, hash: from.hash } as const;
    expect(provenanceWords([version(1, {}, library)])).toBe('From the club’s library, version 2, settings unchanged.');
  });

  test('says nothing of a profile that its driver made, copied, or went back in', () => {
    expect(provenanceWords([version(1, {})])).toBeNull();
    expect(provenanceWords([version(1, {}, { via: 'copy', hash: from.hash })])).toBeNull();
    expect(
      provenanceWords([version(2, {}, { via: 'version', version: 1, hash: from.hash }), version(1, {})]),
    ).toBeNull();
    expect(provenanceWords([])).toBeNull();
  });
});
