import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { problemsOf } from '../../server/profiles/model/check.ts';
import { throttleOf } from '../../server/profiles/model/duty.ts';
import { underLimit } from '../../server/profiles/model/limit.ts';
import { defaultTuning, type Tuning } from '../../server/profiles/model/profile.ts';
import { mayKeep } from '../../server/profiles/owner.ts';

const points = (...list: [number, number][]): Pick<Tuning, 'curve'> => ({ curve: { kind: 'points', points: list } });

describe('the race limit', () => {
  test('holds maximum drive, and minimum drive only where it would come too close', () => {
    expect(underLimit(defaultTuning, 800)).toEqual({ ...defaultTuning, maxDrive: 800 });
    expect(underLimit({ ...defaultTuning, minDrive: 400 }, 400)).toMatchObject({ minDrive: 350, maxDrive: 400 });
    expect(underLimit({ ...defaultTuning, minDrive: 600 }, 100)).toMatchObject({ minDrive: 50, maxDrive: 100 });
  });

  test('changes nothing where there is none, or where the profile keeps below it', () => {
    expect(underLimit(defaultTuning, null)).toBe(defaultTuning);
    const low = { ...defaultTuning, maxDrive: 700 };
    expect(underLimit(low, 700)).toBe(low);
    expect(underLimit(low, 800)).toBe(low);
  });

  test('nobody gets more drive than the limit, nor more than before, at any trigger', () => {
    const tunings = fc
      .tuple(fc.integer({ min: 0, max: 600 }), fc.integer({ min: 100, max: 1000 }), fc.integer({ min: -100, max: 100 }))
      .filter(([min, max]) => max >= min + 50)
      .map(
        ([minDrive, maxDrive, shape]): Tuning => ({
          ...defaultTuning,
          minDrive,
          maxDrive,
          curve: { kind: 'shape', shape },
        }),
      );
    fc.assert(
      fc.property(
        tunings,
        fc.integer({ min: 100, max: 1000 }),
        fc.double({ min: 0, max: 1, noNaN: true }),
        (own, limit, x) => {
          const held = underLimit(own, limit);
          expect(problemsOf(held)).toEqual([]);
          const duty = throttleOf(held).duty(x);
          expect(duty).toBeLessThanOrEqual(limit / 1000 + 1e-12);
          expect(duty).toBeLessThanOrEqual(throttleOf(own).duty(x) + 1e-12);
        },
      ),
    );
  });
});

describe('rules between fields', () => {
  test('the default profile keeps them', () => {
    expect(problemsOf(defaultTuning)).toEqual([]);
  });

  test.each<[string, Partial<Tuning>, string[]]>([
    ['drives too close', { minDrive: 551, maxDrive: 600 }, ['driveSpan']],
    ['drives just far enough', { minDrive: 550, maxDrive: 600 }, []],
    ['a zone that ends before it begins', { drag: { ...defaultTuning.drag, zoneFrom: 301 } }, ['dragZone']],
    ['a zone of one point', { drag: { ...defaultTuning.drag, zoneFrom: 300 } }, []],
    ['sync with fast', { rectify: 'sync', decay: 'fast' }, ['syncFast']],
    ['one point', points([0, 0]), ['pointCount']],
    [
      'ten points',
      points(...Array.from({ length: 10 }, (_, i): [number, number] => [i * 100, i * 100])),
      ['pointCount'],
    ],
    ['a start above rest', points([0, 1], [1000, 1000]), ['pointEnds']],
    ['an end below full', points([0, 0], [1000, 999]), ['pointEnds']],
    ['points too close', points([0, 0], [19, 500], [1000, 1000]), ['pointsApart']],
    ['points just far enough', points([0, 0], [20, 500], [1000, 1000]), []],
    ['points out of order', points([0, 0], [500, 200], [400, 300], [1000, 1000]), ['pointsApart']],
    ['a falling drive', points([0, 0], [400, 500], [600, 499], [1000, 1000]), ['pointsFall']],
    ['a level drive', points([0, 0], [400, 500], [600, 500], [1000, 1000]), []],
  ])('%s', (_, set, problems) => {
    expect(problemsOf({ ...defaultTuning, ...set })).toEqual(problems);
  });
});

test('the director and the driver in person keep profiles, nobody else', () => {
  const who = (role: string, driverId: string | null) => mayKeep({ role, driverId }, 'd1');
  expect(who('director', null)).toBe(true);
  expect(who('driver', 'd1')).toBe(true);
  expect(who('driver', 'd2')).toBe(false);
  expect(who('timekeeper', null)).toBe(false);
  expect(who('timekeeper', 'd1')).toBe(false);
  expect(mayKeep(null, 'd1')).toBe(false);
});
