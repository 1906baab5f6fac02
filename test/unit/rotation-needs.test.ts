import fc from 'fast-check';
import { expect, test } from 'vitest';
import { draw } from '../../server/rotation/draw.ts';
import { drawNeeds, heatsForNeeds, type Need } from '../../server/rotation/needs.ts';
import { redraw } from '../../server/rotation/redraw.ts';
import { drawRequest } from '../../server/rotation/rotation.ts';

/** Any needs on up to 8 lanes, also those that no first draw would leave. */
const anyNeeds = fc.integer({ min: 1, max: 8 }).chain((lanes) =>
  fc
    .array(fc.array(fc.integer({ min: 0, max: 3 }), { minLength: lanes, maxLength: lanes }), { maxLength: 20 })
    .map((rows) => ({
      lanes,
      needs: rows.map(
        (row, d): Need => ({ driver: `e${d + 1}`, runs: new Map(row.map((count, l) => [l + 1, count])) }),
      ),
    })),
);

/** Runs of each driver on each lane, counted in the drawn heats. */
function ridden(heats: ReturnType<typeof drawNeeds>): Map<string, number> {
  const counts = new Map<string, number>();
  for (const seats of heats) {
    for (const [l, seat] of seats.entries()) {
      if (seat !== null) counts.set(`${seat} ${l + 1}`, (counts.get(`${seat} ${l + 1}`) ?? 0) + 1);
    }
  }
  return counts;
}

test('everybody runs exactly what was needed, nobody twice in a heat', () => {
  fc.assert(
    fc.property(anyNeeds, ({ lanes, needs }) => {
      const heats = drawNeeds(lanes, needs);
      for (const seats of heats) {
        expect(seats).toHaveLength(lanes);
        const driving = seats.filter((seat) => seat !== null);
        expect(new Set(driving).size).toBe(driving.length);
      }
      const wanted = needs.flatMap(({ driver, runs }) =>
        [...runs].filter(([, count]) => count > 0).map(([lane, count]) => [`${driver} ${lane}`, count] as const),
      );
      expect(ridden(heats)).toEqual(new Map(wanted.map(([key, count]) => [key, count])));
    }),
    { numRuns: 500 },
  );
});

// König's line-colouring theorem (D. König, Math. Annalen 77 (1916) 453-465): a bipartite multigraph needs exactly as
// many colours as its largest degree, so the number of heats is the most runs of one driver or on one lane.
test('heats are as few as the theorem allows and differ by at most one car', () => {
  fc.assert(
    fc.property(anyNeeds, ({ lanes, needs }) => {
      const perDriver = needs.map(({ runs }) => [...runs.values()].reduce((a, b) => a + b, 0));
      const perLane = Array.from({ length: lanes }, (_, l) =>
        needs.reduce((sum, { runs }) => sum + (runs.get(l + 1) ?? 0), 0),
      );
      const heats = drawNeeds(lanes, needs);
      expect(heats).toHaveLength(Math.max(0, ...perDriver, ...perLane));
      expect(heatsForNeeds(needs)).toBe(heats.length);
      const sizes = heats.map((seats) => seats.filter((seat) => seat !== null).length);
      if (sizes.length > 0) expect(Math.max(...sizes) - Math.min(...sizes)).toBeLessThanOrEqual(1);
    }),
    { numRuns: 500 },
  );
});

test('whoever drove last does not drive first when somebody else can', () => {
  const once = (driver: string, lane: number): Need => ({ driver, runs: new Map([[lane, 1]]) });
  const heats = drawNeeds(2, [once('a', 1), once('b', 2), once('c', 1), once('d', 2)], ['a', 'b']);
  expect(heats).toHaveLength(2);
  expect(heats[0]).toEqual(['c', 'd']);
});

test('nothing to run is no heat', () => {
  expect(drawNeeds(4, [])).toEqual([]);
  expect(drawNeeds(4, [{ driver: 'e1', runs: new Map([[1, 0]]) }])).toEqual([]);
});

const four = { lanes: 4, laneOrder: [1, 3, 4, 2], runsPerLane: 1, marshals: 1 };

test('before anything counts a redraw is the step rotation', () => {
  const drivers = ['a', 'b', 'c', 'd', 'e'];
  const fresh = draw(drawRequest({ drivers, lanes: 4, marshals: 1 }));
  const drawn = redraw({ ...four, drivers, kept: [{ seats: ['a', 'b', 'c', 'd'], counts: false }] });
  expect(drawn.heats).toEqual(fresh.heats);
  expect(drawn.marshals).toEqual(fresh.marshals);
});

test('after heats ran, a late arrival catches up and nobody has a lane twice', () => {
  fc.assert(
    fc.property(fc.integer({ min: 2, max: 12 }), fc.nat(20), fc.nat(11), fc.nat(2), (n, ran, leaves, join) => {
      const drivers = Array.from({ length: n }, (_, i) => `e${i + 1}`);
      const first = redraw({ ...four, drivers, kept: [] });
      const kept = first.heats.slice(0, Math.min(ran, first.heats.length)).map((seats) => ({ seats, counts: true }));
      const late = Array.from({ length: join }, (_, i) => `late${i + 1}`);
      const here = [...drivers.filter((_, i) => i !== leaves), ...late];
      const drawn = redraw({ ...four, drivers: here, kept });
      const all = [...kept.map((heat) => heat.seats), ...drawn.heats];
      for (const driver of here) {
        for (let lane = 0; lane < 4; lane += 1) expect(all.filter((seats) => seats[lane] === driver)).toHaveLength(1);
      }
      const gone = drivers[leaves];
      if (gone) expect(drawn.heats.flat()).not.toContain(gone);
      for (const [h, marshals] of drawn.marshals.entries()) {
        for (const marshal of marshals) expect(drawn.heats[h]).not.toContain(marshal);
      }
    }),
  );
});
