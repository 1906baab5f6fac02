import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { draw } from '../../server/rotation/draw.ts';
import { type DrawRequest, defaultLaneOrder, drawRequest, fewestHeats } from '../../server/rotation/rotation.ts';
import { requests } from '../helpers/rotation-requests.ts';

const lanesInUse = ({ lanes, lanesOut }: DrawRequest) => lanes - lanesOut.length;

describe('the step rotation', () => {
  it('gives every driver every lane in use exactly as often as wanted, nobody twice in a heat', () => {
    fc.assert(
      fc.property(requests, (request) => {
        const { heats } = draw(request);
        const runs = new Map<string, number>();
        for (const seats of heats) {
          expect(seats).toHaveLength(request.lanes);
          const driving = seats.filter((seat) => seat !== null);
          expect(new Set(driving).size).toBe(driving.length);
          for (const [l, seat] of seats.entries()) {
            if (seat !== null) runs.set(`${seat}/${l + 1}`, (runs.get(`${seat}/${l + 1}`) ?? 0) + 1);
          }
        }
        for (const driver of request.drivers) {
          for (let lane = 1; lane <= request.lanes; lane++) {
            const wanted = request.lanesOut.includes(lane) ? 0 : request.runsPerLane;
            expect(runs.get(`${driver}/${lane}`) ?? 0).toBe(wanted);
          }
        }
      }),
      { numRuns: 300 },
    );
  });

  it('needs no more heats than the largest degree and the cap force, with equally large heats', () => {
    fc.assert(
      fc.property(requests, (request) => {
        const n = request.drivers.length;
        const width = lanesInUse(request);
        const cap = Math.min(request.carsPerHeat ?? width, n, width);
        const { heats, fewestHeats: stated } = draw(request);
        const byDegree = request.runsPerLane * Math.max(n, width);
        expect(heats).toHaveLength(Math.max(byDegree, Math.ceil((request.runsPerLane * n * width) / cap)));
        expect(stated).toBe(heats.length);
        const sizes = heats.map((seats) => seats.filter((seat) => seat !== null).length);
        expect(Math.max(...sizes)).toBeLessThanOrEqual(cap);
        expect(Math.max(...sizes) - Math.min(...sizes)).toBeLessThanOrEqual(1);
      }),
      { numRuns: 300 },
    );
  });

  it('moves everybody through the lane order, one lane after the other', () => {
    fc.assert(
      fc.property(requests, (request) => {
        const order = request.laneOrder.filter((lane) => !request.lanesOut.includes(lane));
        const { heats } = draw(request);
        for (const driver of request.drivers) {
          const path = heats.map((seats) => seats.indexOf(driver) + 1).filter((lane) => lane > 0);
          const places = path.map((lane) => order.indexOf(lane));
          for (const [i, place] of places.slice(1).entries()) {
            expect(place).toBe(((places[i] as number) + 1) % order.length);
          }
        }
      }),
    );
  });

  it('is the same each time', () => {
    fc.assert(
      fc.property(requests, (request) => {
        expect(draw(request)).toEqual(draw(request));
      }),
      { numRuns: 30 },
    );
  });

  it('shows five drivers on three lanes as a director expects them', () => {
    const { heats } = draw(drawRequest({ drivers: ['Ann', 'Bob', 'Cid', 'Dot', 'Eve'], lanes: 3 }));
    expect(heats).toEqual([
      ['Ann', 'Cid', 'Bob'],
      ['Dot', 'Bob', 'Ann'],
      ['Eve', 'Ann', 'Dot'],
      ['Cid', 'Dot', 'Eve'],
      ['Bob', 'Eve', 'Cid'],
    ]);
  });

  it('steps empty lanes along where lanes outnumber drivers', () => {
    const { heats } = draw(drawRequest({ drivers: ['Ann', 'Bob'], lanes: 3 }));
    expect(heats).toEqual([
      ['Ann', null, 'Bob'],
      [null, 'Bob', 'Ann'],
      ['Bob', 'Ann', null],
    ]);
  });

  it('takes one driver on one lane and sixty on sixteen', () => {
    expect(draw(drawRequest({ drivers: ['Ann'], lanes: 1 })).heats).toEqual([['Ann']]);
    const sixty = drawRequest({ drivers: Array.from({ length: 60 }, (_, i) => i + 1), lanes: 16, runsPerLane: 2 });
    expect(draw(sixty).heats).toHaveLength(120);
  });
});

describe('fewestHeats', () => {
  it.each([
    [13, 4, 1, null, 13],
    [3, 8, 2, null, 16],
    [10, 4, 1, 3, 14],
    [5, 4, 1, 1, 20],
    [2, 6, 1, 4, 6],
  ])('%i drivers, %i lanes, %i runs, cap %o: %i', (n, lanes, runsPerLane, carsPerHeat, heats) => {
    const drivers = Array.from({ length: n }, (_, i) => i + 1);
    expect(fewestHeats(drawRequest({ drivers, lanes, runsPerLane, carsPerHeat }))).toBe(heats);
  });
});

describe('defaultLaneOrder', () => {
  it('goes up the odd lanes and down the even ones', () => {
    expect(defaultLaneOrder(1)).toEqual([1]);
    expect(defaultLaneOrder(4)).toEqual([1, 3, 4, 2]);
    expect(defaultLaneOrder(7)).toEqual([1, 3, 5, 7, 6, 4, 2]);
  });
});
