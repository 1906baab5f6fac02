import { readFileSync } from 'node:fs';
import { describe, expect, it } from 'vitest';
import { certify } from '../../server/rotation/certificate/certify.ts';
import { draw } from '../../server/rotation/draw.ts';
import { type DrawRequest, drawRequest, fewestHeats, type Rotation } from '../../server/rotation/rotation.ts';

// Sources: test/reference/data/rotation/SOURCES.md and the `source` of each published entry.

interface Published {
  id: string;
  params: {
    drivers: number;
    lanes: number;
    heats: number;
    rounds?: number;
    table?: string[];
    pairs?: [number, number][];
  };
  expected: {
    sumSquares?: number;
    meetMin?: number;
    meetMax?: number;
    lowerBoundSumSquares?: number;
    sumSquaresStrictlyAbove?: number;
    arithmeticAllowsLambda?: number;
    bestKnownHere?: number;
  };
}

const published = JSON.parse(
  readFileSync(new URL('data/rotation/published.json', import.meta.url), 'utf8'),
) as Published[];
const find = (id: string) => published.find((entry) => entry.id === id) as Published;

const count = (n: number) => Array.from({ length: n }, (_, i) => i + 1);
const drawn = (drivers: number, lanes: number, more: Partial<DrawRequest> = {}): Rotation =>
  draw(drawRequest({ drivers: count(drivers), lanes, preset: 'opponents', budgetMs: 200, ...more }));
const measure = (drivers: number, lanes: number, heats: number[][]) =>
  certify({ drivers: count(drivers), lanes, heats, marshals: heats.map(() => []), wanted: 0, purpose: 'opponents' });
const pairs = (n: number) => (n * (n - 1)) / 2;

describe('published tables, measured', () => {
  it.each(['kirkman-15-3', 'affine-16-4'])('%s: every pair once, everybody once a round', (id) => {
    const { params, expected } = find(id);
    const rounds = (params.table ?? []).map((round) => round.split(' ').map((set) => set.split('-').map(Number)));
    expect(rounds).toHaveLength(params.rounds as number);
    for (const round of rounds) expect(round.flat().sort((a, b) => a - b)).toEqual(count(params.drivers));
    const heats = rounds.flat();
    expect(heats).toHaveLength(params.heats);
    const { opponents, sitOut } = measure(params.drivers, params.lanes, heats);
    expect(opponents).toMatchObject({ min: expected.meetMin, max: expected.meetMax, verdict: 'proved best' });
    expect(opponents.sumSquares).toBe(expected.sumSquares);
    expect(sitOut.longest).toBeLessThanOrEqual(2 * (params.drivers / params.lanes - 1));
  });

  it.each([5, 7, 9])('Williams, %i lanes: two squares, every ordered pair twice side by side', (n) => {
    // The first row 0, 1, n-1, 2, n-2, ... developed modulo n, and the same read backwards.
    const zigzag = count(n).map((i) => (i % 2 === 0 ? i / 2 : n - (i - 1) / 2) % n);
    const square = (row: number[]) => count(n).map((t) => row.map((b) => ((b + t) % n) + 1));
    const heats = [...square(zigzag), ...square(zigzag.toReversed())];
    const ordered = new Map<string, number>();
    for (const row of heats) {
      for (const [l, right] of row.slice(1).entries()) {
        const key = `${row[l]} ${right}`;
        ordered.set(key, (ordered.get(key) ?? 0) + 1);
      }
    }
    expect([...ordered.values()]).toEqual(Array<number>(n * (n - 1)).fill(2));
    // Either way round that is four times for each pair: the least sum of squares.
    expect(measure(n, n, heats).neighbours).toMatchObject({
      max: 4,
      sumSquares: 16 * pairs(n),
      verdict: 'proved best',
    });
  });
});

describe('designs that do not exist are not promised', () => {
  it.each(['brc-22-7-2', 'brc-29-8-2', 'plane-order-6-43-7-1'])('%s: everybody equally often is out of reach', (id) => {
    const { drivers, lanes } = find(id).params;
    const counted = (lanes * lanes * (lanes - 1) ** 2 * drivers) / (drivers - 1) / 2;
    // The bound depends on drivers, runs and heats only, so any rotation shows it.
    const { opponents } = drawn(drivers, lanes, { preset: 'step' }).certificate;
    expect(opponents.bound).toBeGreaterThan(counted);
    expect(opponents.spreadBound).toBe(2);
    expect(opponents.verdict).not.toBe('proved best');
  });

  it.each(['gdd-20-5', 'configuration-22-5', 'configuration-33-6'])(
    '%s: the bound of counting is out of reach',
    (id) => {
      const { params, expected } = find(id);
      const { opponents } = drawn(params.drivers, params.lanes).certificate;
      expect(opponents.bound).toBeGreaterThan(expected.lowerBoundSumSquares as number);
      expect(opponents.sumSquares).toBeGreaterThanOrEqual(opponents.bound);
      if (id === 'gdd-20-5') {
        expect(opponents).toMatchObject({ sumSquares: expected.bestKnownHere, bound: expected.bestKnownHere });
        expect(opponents).toMatchObject({ verdict: 'proved best', why: 'no such design' });
      } else expect(opponents).toMatchObject({ verdict: 'best known', why: 'searched, bound raised' });
    },
  );

  it.each(['capped-15-5-21', 'capped-22-8-33', 'fisher-16-6-8'])('%s: arithmetic allows what does not exist', (id) => {
    const { params, expected } = find(id);
    const counted = pairs(params.drivers) * (expected.arithmeticAllowsLambda as number) ** 2;
    const { opponents } = drawn(params.drivers, params.lanes, { heats: params.heats, budgetMs: 50 }).certificate;
    expect(opponents.bound).toBeGreaterThan(counted);
    if (expected.sumSquaresStrictlyAbove !== undefined) expect(counted).toBe(expected.sumSquaresStrictlyAbove);
    expect(opponents.spreadBound).toBe(2);
    expect(opponents.max - opponents.min).toBeGreaterThanOrEqual(2);
  });

  it('configuration-34-6: it exists, is hard to find, and nothing is claimed without it', () => {
    const { params, expected } = find('configuration-34-6');
    const { opponents } = drawn(params.drivers, params.lanes).certificate;
    expect(opponents.bound).toBe(expected.lowerBoundSumSquares);
    const found = opponents.sumSquares === opponents.bound;
    expect(opponents.verdict).toBe(found ? 'proved best' : 'best known');
  });
});

describe('designs that exist are found', () => {
  it('biplane-16-6-2, which has no cyclic form', () => {
    const { params, expected } = find('biplane-16-6-2');
    // All 3003 base blocks that hold 0: none meets every difference twice.
    const sets = (from: number, size: number): number[][] =>
      size === 0
        ? [[]]
        : count(16 - from).flatMap((i) => sets(from + i, size - 1).map((rest) => [from + i - 1, ...rest]));
    const blocks = sets(1, 5).map((rest) => [0, ...rest]);
    expect(blocks).toHaveLength(3003);
    const isDifferenceSet = (block: number[]) => {
      const differences = block.flatMap((a) => block.map((b) => (a - b + 16) % 16));
      return count(15).every((x) => differences.filter((difference) => difference === x).length === 2);
    };
    expect(blocks.some(isDifferenceSet)).toBe(false);

    const { opponents } = drawn(params.drivers, params.lanes).certificate;
    expect(opponents).toMatchObject({ min: expected.meetMin, max: expected.meetMax, sumSquares: expected.sumSquares });
    expect(opponents.verdict).toBe('proved best');
  });

  it.each(find('youden-rectangles-enumerated').params.pairs as [number, number][])(
    'a Youden rectangle of %i drivers on %i lanes: every lane once, all pairs alike',
    (drivers, lanes) => {
      const { heats, certificate } = drawn(drivers, lanes);
      expect(heats).toHaveLength(drivers);
      for (let lane = 0; lane < lanes; lane++) {
        expect(heats.map((row) => Number(row[lane])).sort((a, b) => a - b)).toEqual(count(drivers));
      }
      const lambda = (lanes * (lanes - 1)) / (drivers - 1);
      expect(certificate.opponents).toMatchObject({ min: lambda, max: lambda, verdict: 'proved best' });
      expect(certificate.backToBack).toMatchObject({ count: lambda * (drivers - 1), verdict: 'proved best' });
      expect(certificate.lanes).toMatchObject({ spread: 0, verdict: 'proved best', why: 'theorem' });
    },
  );

  it.each(['kirkman-15-3', 'affine-9-3'])('%s, drawn as so many heats: every pair once', (id) => {
    const { params, expected } = find(id);
    const { opponents, lanes } = drawn(params.drivers, params.lanes, {
      heats: params.heats,
      budgetMs: 500,
    }).certificate;
    expect(opponents).toMatchObject({ min: 1, max: 1, sumSquares: expected.sumSquares, verdict: 'proved best' });
    expect(lanes.spread).toBeLessThanOrEqual(1);
  });

  // C. Smith, H. Hartley (1948) and D. König (1916): lanes can always be given evenly, in the fewest heats.
  it.each([
    [5, 3, {}],
    [9, 4, { runsPerLane: 2 }],
    [7, 6, { carsPerHeat: 3 }],
    [3, 5, {}],
    [17, 6, {}],
  ])('koenig-min-heats and smith-hartley: %i drivers, %i lanes, %j', (drivers, lanes, more) => {
    const request = drawRequest({ drivers: count(drivers), lanes, preset: 'opponents', budgetMs: 50, ...more });
    const { heats, certificate, fewestHeats: fewest } = draw(request);
    expect(heats).toHaveLength(fewestHeats(request));
    expect(fewest).toBe(heats.length);
    expect(certificate.lanes).toMatchObject({ spread: 0, bound: 0, verdict: 'proved best', why: 'theorem' });
  });

  it.each(['berger-6', 'berger-8'])('%s: the drawn heats are the published pairs, then with lanes swapped', (id) => {
    const { params } = find(id);
    const table = (params.table ?? []).flatMap((round) => round.split(' ').map((pair) => pair.split('-').map(Number)));
    const { heats, certificate } = drawn(params.drivers, 2, { format: 'pairs' });
    const names = (list: readonly (readonly unknown[])[]) => list.map((pair) => pair.join('-')).sort();
    expect(names(heats)).toEqual(names([...table, ...table.map(([a, b]) => [b, a])]));
    expect(certificate.opponents).toMatchObject({ min: 2, max: 2, verdict: 'proved best' });
    expect(certificate.lanes).toMatchObject({ spread: 0, verdict: 'proved best' });
  });
});

describe('rest first: both ends of the trade-off are proved', () => {
  // Figures found by the separate search program of SOURCES.md, and proved by the frontier of the certificate.
  it.each([
    [13, 4, 102],
    [11, 4, 108],
  ])('%i drivers on %i lanes: no back-to-backs, sum of squares %i', (drivers, lanes, sumSquares) => {
    const { opponents, backToBack } = drawn(drivers, lanes, { preset: 'rest', budgetMs: 1000 }).certificate;
    expect(backToBack).toMatchObject({ count: 0, verdict: 'proved best' });
    expect(opponents).toMatchObject({ sumSquares, verdict: 'compromise', why: 'best with this rest' });
  });
});
