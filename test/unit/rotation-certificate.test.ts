import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { certify, type Night, type Purpose } from '../../server/rotation/certificate/certify.ts';
import { countNight } from '../../server/rotation/certificate/counted-night.ts';
import { joinCertificates } from '../../server/rotation/certificate/join.ts';
import { backToBacksGivenOpponents, opponentsGivenBackToBacks } from '../../server/rotation/certificate/opponents.ts';
import type { Certificate, Seat } from '../../server/rotation/rotation.ts';
import { achievedIn, criteria, nights, numbers } from '../helpers/nights.ts';

const night = (heats: Seat[][], more: Partial<Night> = {}): Night => ({
  drivers: [...new Set(heats.flat())].filter((seat) => seat !== null),
  lanes: heats[0]?.length ?? 1,
  heats,
  marshals: heats.map(() => []),
  wanted: 0,
  purpose: 'opponents',
  ...more,
});

/** Heats of the cyclic design, in the order of steps of `step` through the base block's translations. */
const cyclic = (drivers: number, block: number[], step = 1): Seat[][] =>
  numbers(drivers).map((t) => block.map((b) => ((b + t * step) % drivers) + 1));

describe('bounds of any night', () => {
  it('never lie above what the night reaches', () => {
    fc.assert(
      fc.property(nights, (any) => {
        const certificate = certify(any);
        for (const { name, achieved, bound, verdict } of criteria(certificate)) {
          expect(bound, name).toBeLessThanOrEqual(achieved);
          if (verdict === 'proved best') expect(bound, name).toBe(achieved);
        }
        const { min, max, spreadBound } = certificate.opponents;
        expect(spreadBound).toBeLessThanOrEqual(max - min);
      }),
      { numRuns: 500 },
    );
  });

  it('have as odd a sum of squares as the night itself where heats are equally large', () => {
    fc.assert(
      fc.property(nights, (any) => {
        const { evenSizes } = countNight(any);
        const { sumSquares, bound } = certify(any).opponents;
        if (evenSizes) expect((sumSquares - bound) % 2).toBe(0);
      }),
    );
  });

  it('hold at both ends of the trade-off between opponents and rest', () => {
    fc.assert(
      fc.property(nights, (any) => {
        const counted = countNight(any);
        const { opponents, backToBack } = certify(any);
        const before = certify({ ...any, heats: any.done ?? [], done: [], marshals: [] }).backToBack.count;
        const count = backToBack.count - before;
        expect(opponentsGivenBackToBacks(counted, count)).toBeLessThanOrEqual(opponents.sumSquares);
        expect(backToBacksGivenOpponents(counted, opponents.sumSquares)).toBeLessThanOrEqual(count);
      }),
      { numRuns: 500 },
    );
  });
});

describe('bounds against every other night', () => {
  /** All seats of one heat. */
  const heatsOf = (drivers: number, lanes: number): number[][] => {
    let heats: number[][] = [[]];
    for (let lane = 0; lane < lanes; lane++) {
      heats = heats.flatMap((seats) =>
        [0, ...numbers(drivers)].filter((d) => d === 0 || !seats.includes(d)).map((d) => [...seats, d]),
      );
    }
    return heats.filter((seats) => seats.some((d) => d > 0));
  };
  const asSeats = (rows: readonly number[][]): Seat[][] => rows.map((row) => row.map((d) => (d === 0 ? null : d)));
  const size = (row: readonly number[]) => row.filter((d) => d > 0).length;
  const runsKey = (rows: readonly number[][], drivers: number) =>
    numbers(drivers)
      .map((d) => rows.flat().filter((seat) => seat === d).length)
      .join();

  /** Every night with so many heats of equal size, by the runs of each driver. */
  const everyNight = (drivers: number, lanes: number, count: number) => {
    const all = heatsOf(drivers, lanes);
    let lists: number[][][] = [[]];
    for (let h = 0; h < count; h++) lists = lists.flatMap((list) => all.map((heat) => [...list, heat]));
    const even = lists.filter((list) => Math.max(...list.map(size)) - Math.min(...list.map(size)) <= 1);
    const byRuns = new Map<string, number[][][]>();
    for (const list of even) {
      const key = runsKey(list, drivers);
      const alike = byRuns.get(key);
      if (alike) alike.push(list);
      else byRuns.set(key, [list]);
    }
    return byRuns;
  };

  // Bounds of lanes, meetings, waiting and time hold for every night with the same runs; those of neighbours and of
  // take-overs for every night with the same runs on each lane.
  const free = ['lanes', 'opponents', 'sitOut', 'timeOfNight'] as const;
  const onLanes = ['neighbours', 'carryOver'] as const;
  const lanesKey = (rows: readonly number[][], drivers: number, lanes: number) =>
    Array.from({ length: lanes }, (_, l) =>
      runsKey(
        rows.map((row) => [row[l] ?? 0]),
        drivers,
      ),
    ).join(' ');

  it.each([
    [3, 2, 3, [[1, 2]]],
    [
      4,
      2,
      2,
      [
        [1, 2],
        [3, 1],
      ],
    ],
    [3, 3, 2, []],
    [4, 3, 2, [[1, 2, 3]]],
  ])('%i drivers, %i lanes, %i heats to come after %j', (drivers, lanes, count, done) => {
    for (const group of everyNight(drivers, lanes, count).values()) {
      const certificates = group.map((rows) =>
        certify(night(asSeats(rows), { drivers: numbers(drivers), lanes, done: asSeats(done as number[][]) })),
      );
      const least = (pick: (c: Certificate) => number) => Math.min(...certificates.map(pick));
      for (const name of free) {
        const bounds = new Set(certificates.map((c) => c[name].bound));
        // The wait has one bound more for fields that fall into fixed groups.
        if (name !== 'sitOut') expect(bounds.size, name).toBe(1);
        expect(Math.min(...bounds), name).toBeLessThanOrEqual(least((c) => achievedIn(c)[name]));
      }
      const keys = group.map((rows) => lanesKey(rows, drivers, lanes));
      for (const key of new Set(keys)) {
        const alike = certificates.filter((_, i) => keys[i] === key);
        for (const name of onLanes) {
          const bounds = new Set(alike.map((c) => c[name].bound));
          expect(bounds.size, name).toBe(1);
          expect(Math.min(...bounds), name).toBeLessThanOrEqual(Math.min(...alike.map((c) => achievedIn(c)[name])));
        }
      }
      // Evenness of lanes is exact: some night with these runs has it.
      expect(certificates[0]?.lanes.bound).toBe(least((c) => c.lanes.spread));
      // Back-to-backs are bounded given the opponents: nobody who meets as evenly has fewer.
      for (const c of certificates) {
        const asEven = certificates.filter((other) => other.opponents.sumSquares <= c.opponents.sumSquares);
        expect(c.backToBack.bound).toBeLessThanOrEqual(Math.min(...asEven.map((other) => other.backToBack.count)));
        if (c.opponents.why === 'best with this rest') {
          const asRested = certificates.filter((other) => other.backToBack.count <= c.backToBack.count);
          expect(c.opponents.sumSquares).toBe(Math.min(...asRested.map((other) => other.opponents.sumSquares)));
        }
      }
    }
  });

  it.each([
    [4, 2],
    [4, 3],
    [5, 2],
    [5, 3],
    [5, 4],
  ])('first draws of %i drivers on %i lanes: least meetings and rest, over all rotations', (drivers, lanes) => {
    const sets = heatsOf(drivers, lanes).filter((row) => row.every((d, l) => d > (row[l - 1] ?? 0)));
    let lists: number[][][] = [[]];
    for (let h = 0; h < drivers; h++) {
      lists = lists.flatMap((list) =>
        sets
          .map((set) => [...list, set])
          .filter((longer) => numbers(drivers).every((d) => longer.flat().filter((x) => x === d).length <= lanes)),
      );
    }
    // Each driver's name can be swapped with another's: the first heat may be the first set.
    const rotations = lists.filter(([first]) => first === sets[0]);
    const certificates = rotations.map((rows) => certify(night(asSeats(rows), { purpose: 'rest' })));
    const squares = Math.min(...certificates.map((c) => c.opponents.sumSquares));
    expect(certificates[0]?.opponents.bound).toBe(squares);
    for (const c of certificates) {
      const asEven = certificates.filter((other) => other.opponents.sumSquares <= c.opponents.sumSquares);
      expect(c.backToBack.bound).toBeLessThanOrEqual(Math.min(...asEven.map((other) => other.backToBack.count)));
      const asRested = certificates.filter((other) => other.backToBack.count <= c.backToBack.count);
      if (c.opponents.why === 'best with this rest') {
        expect(c.opponents.sumSquares).toBe(Math.min(...asRested.map((other) => other.opponents.sumSquares)));
      }
      if (c.sitOut.why === 'opponents need it') {
        expect(c.sitOut.longest).toBe(Math.min(...asEven.map((other) => other.sitOut.longest)));
      }
    }
  });
});

describe('verdicts', () => {
  it('even opponents need back-to-backs: 13 drivers on 4 lanes', () => {
    const { opponents, backToBack } = certify(night(cyclic(13, [0, 1, 3, 9])));
    expect(opponents).toMatchObject({ sumSquares: 78, bound: 78, verdict: 'proved best', why: 'bound reached' });
    expect(backToBack).toMatchObject({ count: 12, bound: 12, verdict: 'proved best', why: 'opponents need it' });
  });

  it('half the field each: without back-to-backs the halves take turns', () => {
    const halves = numbers(8).map((h) => (h % 2 === 1 ? [1, 2, 3, 4] : [5, 6, 7, 8]));
    const { opponents, backToBack, sitOut } = certify(night(halves, { purpose: 'rest' }));
    // 2 C(4,2) 4^2
    expect(opponents).toMatchObject({ sumSquares: 192, bound: 88, verdict: 'compromise', why: 'best with this rest' });
    expect(backToBack).toMatchObject({ count: 0, bound: 0, verdict: 'proved best' });
    expect(sitOut).toMatchObject({ longest: 1, bound: 1, verdict: 'proved best' });
  });

  it('say what decided', () => {
    // Everybody in a row: neither opponents, nor waiting, nor rest at its bound.
    const clumsy = [1, 1, 2, 2, 3, 3, 4, 4].map((pair) => [2 * pair - 1, 2 * pair]);
    const why = (purpose: Purpose) => {
      const { opponents, sitOut } = certify(night(clumsy, { purpose }));
      return [opponents.verdict, opponents.why, sitOut.verdict, sitOut.why];
    };
    expect(why('opponents')).toEqual(['best known', 'searched', 'compromise', 'for opponents']);
    expect(why('rest')).toEqual(['compromise', 'for rest', 'best known', 'searched']);
    expect(why('balanced')).toEqual(['compromise', 'for balance', 'compromise', 'for balance']);
    expect(why('step')).toEqual(['compromise', 'steps', 'compromise', 'steps']);
    expect(why('table')).toEqual(['compromise', 'table', 'compromise', 'table']);
    expect(why('kept heats')).toEqual(['compromise', 'kept heats', 'compromise', 'kept heats']);
    expect(why('by hand')).toEqual(['compromise', 'by hand', 'compromise', 'by hand']);
  });
});

describe('a night that is half run', () => {
  const done: Seat[][] = [
    ['Ann', 'Bob'],
    ['Cid', 'Ann'],
  ];
  const heats: Seat[][] = [
    ['Bob', 'Dot'],
    ['Dot', 'Bob'],
  ];
  const half = night(heats, { drivers: ['Ann', 'Bob', 'Cid', 'Dot'], done, leave: ['Ann'], late: ['Dot'] });

  it('counts everybody who ran, and the waiting of who still races', () => {
    const { opponents, sitOut, backToBack, lanes, timeOfNight } = certify(half);
    // Ann-Bob 1, Ann-Cid 1, Bob-Dot 2; Cid, who still races, meets neither Bob nor Dot any more.
    expect(opponents).toMatchObject({ sumSquares: 6, min: 0, max: 2, bound: 6, verdict: 'proved best' });
    // Cid waits for heats 1, 3 and 4; Dot came after heat 2.
    expect(sitOut).toMatchObject({ longest: 2, bound: 2, verdict: 'proved best' });
    // Ann in heat 2, Bob and Dot in heat 4.
    expect(backToBack).toMatchObject({ count: 3, bound: 3, verdict: 'proved best' });
    // Bob ran lane 2, then one of each; Cid ran lane 1 only; Dot one of each.
    expect(lanes).toMatchObject({ spread: 1, bound: 1, verdict: 'proved best' });
    // Bob 1 3 4: |16 - 15|; Cid 2: |4 - 5|; Dot 3 4: |14 - 10|.
    expect(timeOfNight).toMatchObject({ deviation: 6, bound: 6, verdict: 'proved best' });
  });

  it('measures unequal runs against targets', () => {
    // Runs Ann 2, Bob 3, Cid 1, Dot 2: products 6 2 4 3 6 2 = 23 for 4 meetings, t = 4/23 x product.
    const targets = [6, 2, 4, 3, 6, 2].map((product) => (4 * product) / 23);
    const meetings = [1, 1, 0, 0, 2, 0];
    const deviation = meetings.reduce((sum, m, i) => sum + (m - (targets[i] ?? 0)) ** 2, 0);
    expect(certify(half).opponents.deviationHundredths).toBe(Math.round(100 * deviation));
    expect(certify(night(cyclic(7, [0, 1, 3]))).opponents).not.toHaveProperty('deviationHundredths');
  });

  it('fills up who met least: a repair cannot undo what was run', () => {
    const met: Seat[][] = [
      [1, 2],
      [2, 1],
      [1, 2],
    ];
    const next: Seat[][] = [
      [3, 4],
      [1, 3],
      [2, 4],
      [1, 4],
      [2, 3],
    ];
    // 1-2 stays at 3, the other five pairs take one each.
    const { opponents } = certify(night(next, { drivers: numbers(4), done: met }));
    expect(opponents).toMatchObject({
      sumSquares: 14,
      bound: 14,
      verdict: 'proved best',
      spreadBound: 2,
      min: 1,
      max: 3,
    });
  });
});

describe('joinCertificates', () => {
  const one = certify(night(cyclic(7, [0, 1, 3])));
  const other = certify(night(cyclic(7, [0, 1, 2])));
  const joined = joinCertificates([one, other], one.duty);

  it('adds sums and takes the worst of the rest', () => {
    expect(joined.opponents.sumSquares).toBe(one.opponents.sumSquares + other.opponents.sumSquares);
    expect(joined.opponents.bound).toBe(42);
    expect(joined.opponents).toMatchObject({ min: 0, max: 2, spreadBound: 0, verdict: 'best known', why: 'searched' });
    expect(joined.backToBack.count).toBe(one.backToBack.count + other.backToBack.count);
    expect(joined.sitOut.longest).toBe(Math.max(one.sitOut.longest, other.sitOut.longest));
    expect(joined.lanes).toMatchObject({ spread: 0, bound: 0, verdict: 'proved best' });
    expect(Object.keys(joined)).toEqual(Object.keys(one));
  });

  it('leaves a single certificate as it is', () => {
    expect(joinCertificates([other], other.duty)).toEqual(other);
    expect(() => joinCertificates([], one.duty)).toThrow(RangeError);
  });
});
