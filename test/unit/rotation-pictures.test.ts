import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { heatBlocks } from '../../server/rotation/heat-groups.ts';
import { heatTimes, type NightHeat, nightLine } from '../../server/rotation/night-line.ts';
import type { StagedHeat } from '../../server/rotation/store.ts';
import { cardMoments } from '../../views/card-moments.ts';
import { pairLayout, pairLevels } from '../../views/components/pair-layout.ts';
import { pathPieces } from '../../views/components/path-pieces.ts';

describe('the line of the night', () => {
  /** Heats in which up to four of eight drivers sit and others marshal, nobody twice. */
  const heats = fc.array(
    fc
      .tuple(fc.shuffledSubarray([1, 2, 3, 4, 5, 6, 7, 8]), fc.array(fc.boolean(), { minLength: 4, maxLength: 4 }))
      .map(([people, taken]): NightHeat => {
        const seats = taken.map((is, l) => (is ? (people[l] ?? null) : null));
        return { seats, marshals: people.slice(4) };
      }),
    { maxLength: 12 },
  );

  test('says of every heat what the plan says, and counts it', () => {
    fc.assert(
      fc.property(heats, fc.nat(6), (heats, wanted) => {
        const { lines, emptyPosts } = nightLine([1, 2, 3, 4, 5, 6, 7, 8], heats, wanted);
        for (const { driver, duties, drives, marshals } of lines) {
          expect(duties).toHaveLength(heats.length);
          expect(drives).toBe(heats.filter(({ seats }) => seats.includes(driver)).length);
          expect(marshals).toBe(heats.filter((heat) => heat.marshals.includes(driver)).length);
          for (const [h, duty] of duties.entries()) {
            const heat = heats[h] as NightHeat;
            if (duty.kind === 'drive') expect(heat.seats[duty.lane - 1]).toBe(driver);
            else if (duty.kind === 'marshal') expect(heat.marshals[duty.post - 1]).toBe(driver);
            else expect([...heat.seats, ...heat.marshals]).not.toContain(driver);
          }
        }
        expect(emptyPosts.map((empty, h) => empty + Math.min(wanted, heats[h]?.marshals.length ?? 0))).toEqual(
          heats.map(() => wanted),
        );
      }),
    );
  });

  test('has no heats, or nobody in them', () => {
    expect(nightLine(['a'], [], 2)).toEqual({
      lines: [{ driver: 'a', duties: [], drives: 0, marshals: 0 }],
      emptyPosts: [],
    });
    expect(nightLine([], [{ seats: [null, null], marshals: [] }], 2).emptyPosts).toEqual([2]);
  });

  test('somebody who is on a lane and at a post drives', () => {
    const [line] = nightLine(['a'], [{ seats: ['a'], marshals: ['a'] }], 1).lines;
    expect(line).toMatchObject({ drives: 1, marshals: 0, duties: [{ kind: 'drive', lane: 1 }] });
  });
});

describe('when heats start', () => {
  const minute = 60_000;

  test('before the first one: from its start on, in equal steps', () => {
    expect(heatTimes(['planned', 'planned', 'planned'], 5 * minute, 2 * minute)).toEqual({
      from: 'start',
      afterMs: [0, 5 * minute, 10 * minute],
    });
    expect(heatTimes(['armed', 'planned'], 5 * minute, 2 * minute)?.from).toBe('start');
  });

  test('later: from now on, after a changeover or at once where the next is armed', () => {
    expect(heatTimes(['run', 'void', 'planned', 'planned'], 5 * minute, 2 * minute)).toEqual({
      from: 'now',
      afterMs: [null, null, 2 * minute, 7 * minute],
    });
    expect(heatTimes(['run', 'armed', 'planned'], 5 * minute, 2 * minute)?.afterMs).toEqual([null, 0, 5 * minute]);
  });

  test('nobody can say when a heat has no end, or when all is over', () => {
    expect(heatTimes(['planned'], null, 2 * minute)).toBeNull();
    expect(heatTimes(['run', 'void'], 5 * minute, 2 * minute)).toBeNull();
    expect(heatTimes([], 5 * minute, 2 * minute)).toBeNull();
  });
});

describe('heats of groups', () => {
  const heat = (...entries: string[]) => ({ lanes: entries.map((entryId) => ({ entryId })) });
  const groupOf = (entry: string) => ({ a: 1, b: 1, c: 2, d: 2 })[entry] ?? null;

  test('neighbours of one group are one block; mixed and empty heats are of none', () => {
    const heats = [heat('a', 'b'), heat('b'), heat('c'), heat('c', 'a'), heat(), heat('d')];
    expect(heatBlocks(heats, groupOf).map(({ group, heats }) => [group, heats.length])).toEqual([
      [1, 2],
      [2, 1],
      [null, 2],
      [2, 1],
    ]);
  });

  test('without groups all heats are one block, in their order', () => {
    const heats = [heat('x', 'y'), heat('z'), heat('x')];
    expect(heatBlocks(heats, groupOf)).toEqual([{ group: null, heats }]);
    expect(heatBlocks([], groupOf)).toEqual([]);
  });
});

describe('a path over a grid', () => {
  const stops = fc.array(fc.option(fc.nat(7), { freq: 2 }), { maxLength: 30 });

  test('begins at the first stop, ends at the last, and goes on from row to row without a gap', () => {
    fc.assert(
      fc.property(stops, (stops) => {
        const pieces = pathPieces(stops);
        const first = stops.findIndex((stop) => stop !== null);
        const last = stops.findLastIndex((stop) => stop !== null);
        for (const [row, piece] of pieces.entries()) {
          expect(piece !== null, `row ${row}`).toBe(first >= 0 && row >= first && row <= last);
          if (piece === null) continue;
          expect(piece.upper === null).toBe(row === first);
          expect(piece.lower === null).toBe(row === last);
          const stop = stops[row] ?? null;
          if (stop !== null && piece.upper) expect(piece.upper.toX).toBeCloseTo(stop + 0.5, 9);
          if (stop !== null && piece.lower) expect(piece.lower.fromX).toBeCloseTo(stop + 0.5, 9);
          if (piece.upper && piece.lower) expect(piece.upper.toX).toBeCloseTo(piece.lower.fromX, 9);
          if (piece.lower) expect(pieces[row + 1]?.upper?.fromX).toBeCloseTo(piece.lower.toX, 9);
        }
      }),
    );
  });

  test('is unbroken only where the next stop follows at once', () => {
    const pieces = pathPieces([null, 0, 2, null, 1]);
    expect(pieces.map((piece) => [piece?.upper?.rests ?? null, piece?.lower?.rests ?? null])).toEqual([
      [null, null],
      [null, false],
      [false, true],
      [true, true],
      [true, null],
    ]);
    // From the middle of the third lane to that of the second: half a lane in every row.
    expect(pieces[3]).toEqual({
      upper: { fromX: 2.25, toX: 2, rests: true },
      lower: { fromX: 2, toX: 1.75, rests: true },
    });
  });

  test('a single stop is a point', () => {
    expect(pathPieces([null, 3, null])).toEqual([null, { upper: null, lower: null }, null]);
    expect(pathPieces([])).toEqual([]);
  });
});

describe('the triangle of pairs', () => {
  test('all names and cells lie inside, up to the most drivers there can be', () => {
    for (let drivers = 2; drivers <= 200; drivers += 1) {
      const { cell, width, height, numbers, fits } = pairLayout(drivers);
      expect(width - (drivers - 1) * cell).toBeGreaterThan(90);
      expect(height).toBe(drivers * cell);
      // A number of two digits takes about 17 units at 14 units of type.
      if (numbers) expect(cell).toBeGreaterThanOrEqual(20);
      // A phone of 360 pixels has 328 for it: type of 14 units stays above 10 pixels.
      if (fits) expect((14 * 328) / width).toBeGreaterThan(10);
    }
  });

  test('shades: none for never, then darker with every step, each pair in exactly one', () => {
    fc.assert(
      fc.property(fc.array(fc.nat(20), { minLength: 1, maxLength: 60 }), (counts) => {
        const { levelOf, key } = pairLevels(counts);
        for (const count of counts) {
          expect(levelOf(count) === 0).toBe(count === 0);
          expect(levelOf(count)).toBeLessThanOrEqual(3);
          const own = key.filter(({ from, to }) => from <= count && count <= to);
          expect(own.map(({ level }) => level)).toEqual([levelOf(count)]);
        }
        const rising = [...counts].sort((a, b) => a - b).map(levelOf);
        expect(rising).toEqual([...rising].sort((a, b) => a - b));
        expect(key.reduce((sum, { pairs }) => sum + pairs, 0)).toBe(counts.length);
      }),
    );
  });

  test('every number has its own shade while there are no more than three', () => {
    expect(pairLevels([2, 3, 2, 4, 0]).key).toEqual([
      { level: 0, from: 0, to: 0, pairs: 1 },
      { level: 1, from: 2, to: 2, pairs: 2 },
      { level: 2, from: 3, to: 3, pairs: 1 },
      { level: 3, from: 4, to: 4, pairs: 1 },
    ]);
    expect(pairLevels([0, 0]).key).toEqual([{ level: 0, from: 0, to: 0, pairs: 2 }]);
  });
});

describe('a card', () => {
  const heat = (n: number, more: Partial<StagedHeat>): StagedHeat => ({
    id: `h${n}`,
    raceId: 'r1',
    ordinal: n,
    reruns: null,
    removedAt: null,
    lanes: [],
    marshals: [],
    stage: 'planned',
    ...more,
  });
  const drives = (entryId: string, lane: number) => ({ lanes: [{ lane, entryId, delayMs: 0 }] });

  test('duties in order, rests counted between them, nothing after the last', () => {
    const heats = [
      heat(1, {}),
      heat(2, { ...drives('e1', 3), marshals: ['e9'] }),
      heat(3, { ...drives('e2', 1), stage: 'void' }),
      heat(4, { marshals: ['e9', 'e2'] }),
      heat(5, {}),
      heat(6, {}),
      heat(7, drives('e2', 1)),
      heat(8, {}),
    ];
    const moments = cardMoments(heats, ['e1', 'e2']);
    expect(
      moments.map((moment) => (moment.kind === 'rest' ? moment.heats : `${moment.kind} ${moment.heat.id}`)),
    ).toEqual([1, 'drive h2', 'marshal h4', 2, 'drive h7']);
    expect(moments[2]).toMatchObject({ post: 2 });
    expect(moments[4]).toMatchObject({ lane: 1 });
    expect(cardMoments(heats, ['e5'])).toEqual([]);
  });
});
