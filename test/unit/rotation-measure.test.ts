import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { certify } from '../../server/rotation/certificate/certify.ts';
import { draw } from '../../server/rotation/draw.ts';
import type { Seat } from '../../server/rotation/rotation.ts';
import { requests } from '../helpers/rotation-requests.ts';

const numbers = (n: number) => Array.from({ length: n }, (_, i) => i + 1);

/** Heats with any set of drivers on any lanes. */
const anyHeats = fc.integer({ min: 1, max: 9 }).chain((n) =>
  fc.record({
    n: fc.constant(n),
    heats: fc.array(
      fc
        .shuffledSubarray([...numbers(n), null, null, null, null], { minLength: 4, maxLength: 4 })
        .map((seats): Seat[] => seats),
      { minLength: 1, maxLength: 10 },
    ),
  }),
);

const measured = (n: number, heats: Seat[][]) =>
  certify({ drivers: numbers(n), lanes: 4, heats, marshals: [], wanted: 0, purpose: 'by hand' });

describe('certify', () => {
  // Trace identity: both sides are the trace of (N Nt)^2 = (Nt N)^2 for the incidence matrix N of drivers and heats.
  it('counts meetings that agree with the overlaps of heats', () => {
    fc.assert(
      fc.property(anyHeats, ({ n, heats }) => {
        const { opponents } = measured(n, heats);
        const sets = heats.map((seats) => new Set(seats.filter((seat) => seat !== null)));
        const square = (x: number) => x * x;
        const runs = numbers(n).map((d) => sets.filter((set) => set.has(d)).length);
        let overlaps = 0;
        for (const [h, set] of sets.entries()) {
          for (const other of sets.slice(h + 1)) overlaps += square([...set].filter((d) => other.has(d)).length);
        }
        const left = 2 * opponents.sumSquares + runs.reduce((sum, r) => sum + square(r), 0);
        expect(left).toBe(2 * overlaps + sets.reduce((sum, set) => sum + square(set.size), 0));
      }),
    );
  });

  it('counts what a person counts in a small rotation', () => {
    const heats = [
      ['Ann', 'Bob', null],
      ['Cid', 'Ann', 'Bob'],
      [null, 'Cid', 'Ann'],
      [null, null, 'Cid'],
      ['Bob', null, null],
    ];
    const certificate = certify({
      drivers: ['Ann', 'Bob', 'Cid'],
      lanes: 3,
      heats,
      marshals: [['Cid'], [], ['Bob'], ['Ann', 'Bob'], ['Cid']],
      wanted: 2,
      purpose: 'by hand',
    });
    expect(certificate).toMatchObject({
      lanes: { spread: 0 },
      // Ann and Bob share heats 1 and 2, Ann and Cid 2 and 3, Bob and Cid 2.
      opponents: { min: 1, max: 2, sumSquares: 9 },
      backToBack: { count: 5 },
      sitOut: { longest: 2 },
      // Ann-Bob heats 1 and 2, Ann-Cid heats 2 and 3.
      neighbours: { max: 2, sumSquares: 8 },
      // Ann to Cid on lane 1; Bob to Ann, Ann to Cid on lane 2; Bob to Ann, Ann to Cid on lane 3.
      carryOver: { max: 3, sumSquares: 13 },
      duty: { min: 1, max: 2, spread: 1, shortage: 2, bound: 1, verdict: 'compromise' },
      // Heats 1 2 3, 1 2 5 and 2 3 4 against 9: 6, 2 and 0 after doubling.
      timeOfNight: { deviation: 8 },
    });
  });

  it('never sets a bound above what a rotation reaches, in any order of heats and drivers', () => {
    fc.assert(
      fc.property(requests, fc.infiniteStream(fc.nat(1000)), (request, random) => {
        const drawn = draw(request);
        const key = () => random.next().value as number;
        const heats = drawn.heats
          .map((seats, h) => ({ seats, marshals: drawn.marshals[h] ?? [], key: key() }))
          .sort((a, b) => a.key - b.key);
        const certificate = certify({
          ...request,
          done: [],
          heats: heats.map((heat) => heat.seats),
          marshals: heats.map((heat) => heat.marshals),
          wanted: request.marshals,
          purpose: 'step',
        });
        expect(certificate.lanes.spread).toBe(0);
        for (const [achieved, { bound, verdict }] of [
          [certificate.lanes.spread, certificate.lanes],
          [certificate.opponents.sumSquares, certificate.opponents],
          [certificate.backToBack.count, certificate.backToBack],
          [certificate.sitOut.longest, certificate.sitOut],
          [certificate.neighbours.sumSquares, certificate.neighbours],
          [certificate.carryOver.sumSquares, certificate.carryOver],
          [certificate.duty.spread, certificate.duty],
          [certificate.timeOfNight.deviation, certificate.timeOfNight],
        ] as const) {
          expect(achieved).toBeGreaterThanOrEqual(bound);
          expect(verdict).toBe(achieved === bound ? 'proved best' : 'compromise');
        }
      }),
      { numRuns: 150 },
    );
  });

  it('keeps its bounds for unequal runs and uneven heats', () => {
    fc.assert(
      fc.property(anyHeats, ({ n, heats }) => {
        const c = measured(n, heats);
        expect(c.lanes.spread).toBeGreaterThanOrEqual(c.lanes.bound);
        expect(c.opponents.sumSquares).toBeGreaterThanOrEqual(c.opponents.bound);
        expect(c.backToBack.count).toBeGreaterThanOrEqual(c.backToBack.bound);
        expect(c.sitOut.longest).toBeGreaterThanOrEqual(c.sitOut.bound);
        expect(c.neighbours.sumSquares).toBeGreaterThanOrEqual(c.neighbours.bound);
        expect(c.carryOver.sumSquares).toBeGreaterThanOrEqual(c.carryOver.bound);
        expect(c.timeOfNight.deviation).toBeGreaterThanOrEqual(c.timeOfNight.bound);
      }),
      { numRuns: 1000 },
    );
  });

  it('refuses somebody who is not among the drivers', () => {
    const night = { drivers: ['Ann'], lanes: 1, marshals: [[]], wanted: 0, purpose: 'by hand' } as const;
    expect(() => certify({ ...night, heats: [['Bob']] })).toThrow(RangeError);
    expect(certify({ ...night, done: [['Bob']], heats: [['Ann']] }).opponents.sumSquares).toBe(0);
  });
});
