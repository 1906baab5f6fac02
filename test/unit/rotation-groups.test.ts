import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { groupRequests, groupsOf, racing, usualGroups } from '../../server/rotation/groups.ts';
import { drawRequest } from '../../server/rotation/rotation.ts';

const numbers = (n: number) => Array.from({ length: n }, (_, i) => i + 1);

const grouped = fc
  .record({
    n: fc.integer({ min: 4, max: 30 }),
    groups: fc.integer({ min: 1, max: 8 }),
    lanes: fc.integer({ min: 2, max: 6 }),
    seed: fc.nat(),
    byPace: fc.boolean(),
    leaving: fc.nat(2),
    joining: fc.nat(3),
    more: fc.nat(20),
  })
  .map(({ n, groups, lanes, seed, byPace, leaving, joining, more }) => {
    const request = drawRequest({
      drivers: numbers(n),
      lanes,
      seed,
      groups: Math.min(groups, Math.floor(n / 2)),
      preset: byPace ? 'equals' : 'opponents',
      leave: numbers(leaving),
      join: numbers(joining).map((i) => ({ driver: `late ${i}`, runsPerLane: 1 })),
    });
    return { request, heats: n + more };
  });

describe('groups', () => {
  it('hold everybody once, as evenly as can be', () => {
    fc.assert(
      fc.property(grouped, ({ request }) => {
        const groups = groupsOf(request);
        expect(groups).toHaveLength(request.groups as number);
        const everybody = [...request.drivers, ...request.join.map((late) => late.driver)];
        expect(groups.flat().map(String).sort()).toEqual(everybody.map(String).sort());
        const before = groups.map((group) => group.filter((driver) => request.drivers.includes(driver)).length);
        expect(Math.max(...before) - Math.min(...before)).toBeLessThanOrEqual(1);
      }),
    );
  });

  it('stay the same when somebody leaves or comes', () => {
    fc.assert(
      fc.property(grouped, ({ request }) => {
        const before = groupsOf({ ...request, leave: [], join: [] });
        const after = groupsOf(request);
        for (const [g, group] of before.entries()) expect(after[g]).toEqual(expect.arrayContaining(group));
      }),
    );
  });

  it('of like pace go by the order of the list, the fastest last', () => {
    fc.assert(
      fc.property(grouped, ({ request }) => {
        fc.pre(request.preset === 'equals');
        expect(
          groupsOf({ ...request, join: [] })
            .reverse()
            .flat(),
        ).toEqual(request.drivers);
      }),
    );
  });

  it('are drawn by lot: another seed is another draw', () => {
    const draws = numbers(20).map((seed) => {
      const request = drawRequest({ drivers: numbers(12), lanes: 3, groups: 3, seed, preset: 'opponents' });
      return groupsOf(request).flat().join();
    });
    expect(new Set(draws).size).toBe(20);
  });

  it('take whoever is in none of the lists into the smallest', () => {
    const request = drawRequest({
      drivers: numbers(6),
      lanes: 3,
      groups: [
        [1, 2, 3],
        [4, 5],
      ],
      leave: [1],
      join: [{ driver: 7, runsPerLane: 1 }],
    });
    expect(groupsOf(request)).toEqual([
      [1, 2, 3, 6],
      [4, 5, 7],
    ]);
  });

  it('share out drivers, heats and budget', () => {
    fc.assert(
      fc.property(grouped, ({ request, heats }) => {
        const whole = { ...request, heats: heats * request.lanes };
        const parts = groupRequests(whole, groupsOf(whole));
        expect(parts.flatMap(racing).map(String).sort()).toEqual(racing(whole).map(String).sort());
        expect(parts.reduce((sum, part) => sum + (part.heats ?? 0), 0)).toBe(whole.heats);
        expect(parts.reduce((sum, part) => sum + part.budgetMs, 0)).toBeLessThanOrEqual(whole.budgetMs);
        expect(parts.every((part) => part.preset !== 'equals' && part.groups === 1)).toBe(true);
      }),
    );
  });

  it('hand each group the heats that it ran', () => {
    const request = drawRequest({
      drivers: numbers(4),
      lanes: 2,
      groups: [
        [1, 2],
        [3, 4],
      ],
      done: [
        [1, 2],
        [3, 1],
      ],
    });
    const [first, second] = groupRequests(request, groupsOf(request));
    expect(first?.done).toEqual([
      [1, 2],
      [null, 1],
    ]);
    expect(second?.done).toEqual([[3, null]]);
  });
});

describe('usual groups', () => {
  it.each([
    ['opponents', 40, 4, 1],
    ['equals', 13, 4, 3],
    ['equals', 7, 8, 1],
    ['equals', 12, 1, 6],
  ] as const)('%s, %i drivers, %i lanes: %i', (preset, n, lanes, groups) => {
    expect(usualGroups(drawRequest({ drivers: numbers(n), lanes, preset }))).toBe(groups);
  });
});
