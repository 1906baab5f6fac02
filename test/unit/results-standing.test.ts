import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import type { LaneSummary } from '../../server/heats/lane-summary.ts';
import type { HeatOutcome } from '../../server/results/heat-outcome.ts';
import { type RaceSettings, raceStanding } from '../../server/results/standing.ts';
import { armingsInOrder, heatAt } from '../../server/results/windows.ts';

// Scores and ties themselves are checked against recorded nights and cases in test/reference/nights.test.ts.

const drawnLane = fc.record({
  laps: fc.nat(3),
  finished: fc.boolean(),
  excluded: fc.constantFrom(false, false, false, true),
  fastestUs: fc.constantFrom(null, 5_000_000, 6_000_000),
  lastLapEndRaceUs: fc.constantFrom(null, 30_000_000, 31_000_000),
});

const anyRace: fc.Arbitrary<RaceSettings> = fc.record({
  id: fc.constant('r1'),
  format: fc.constantFrom(
    { kind: 'time' as const, durationMs: 60_000, firstTo: null },
    { kind: 'laps' as const, laps: 3, limitMs: null },
  ),
  missing: fc.constantFrom('zero' as const, 'mean' as const),
  heatsPerEntry: fc.constantFrom(null, 1, 2, 3),
});

const entries = ['e1', 'e2', 'e3', 'e4'].map((id) => ({ id, driver: `d-${id}` }));

function outcomesOf(race: RaceSettings): fc.Arbitrary<HeatOutcome[]> {
  const heat = fc.record({
    lanes: fc.array(drawnLane, { minLength: 1, maxLength: 4 }),
    counts: fc.constantFrom(true, true, false),
    state: fc.constantFrom('running' as const, 'ended' as const, 'confirmed' as const),
    fine: fc.constantFrom(0, 0, -50),
    expelled: fc.constantFrom(null, null, null, 'e1'),
  });
  return fc.array(heat, { maxLength: 3 }).map((heats) =>
    heats.map(({ lanes, counts, state, fine, expelled }, i) => ({
      heat: `h${i}`,
      ordinal: 1,
      counts,
      state,
      lanes: lanes.map((lane, l): LaneSummary => {
        const score = race.format.kind === 'time' ? 100 * lane.laps : lane.finished ? 60_000 : null;
        return { ...lane, lane: l + 1, entry: `e${l + 1}`, standing: 'racing', lastLapUs: null, score };
      }),
      entryAdjust: new Map([['e2', fine]]),
      excludedFromRace: new Set(expelled === null ? [] : [expelled]),
    })),
  );
}

const drawn = anyRace.chain((race) => fc.tuple(fc.constant(race), outcomesOf(race)));
const standing = (race: RaceSettings, outcomes: readonly HeatOutcome[], of = entries) =>
  raceStanding(race, of, outcomes, (driver) => driver.toUpperCase());

describe('a standing', () => {
  it('does not depend on the order of entries and heats', () => {
    fc.assert(
      fc.property(drawn, ([race, outcomes]) => {
        const turned = standing(race, outcomes.toReversed(), entries.toReversed());
        expect(turned).toEqual(standing(race, outcomes));
      }),
    );
  });

  it('has every entry once, and shares places as in 1, 2, 2, 4', () => {
    fc.assert(
      fc.property(drawn, ([race, outcomes]) => {
        const { rows } = standing(race, outcomes);
        expect(rows.map(({ entry }) => entry).sort()).toEqual(entries.map(({ id }) => id));
        rows.forEach(({ place }, i) => {
          expect([i + 1, rows[i - 1]?.place]).toContain(place);
        });
      }),
    );
  });

  it('goes by score, with those that have none and those excluded last', () => {
    fc.assert(
      fc.property(drawn, ([race, outcomes]) => {
        const better = race.format.kind === 'time' ? -1 : 1;
        const order = standing(race, outcomes).rows.map((row) => {
          const group = row.excluded ? 2 : row.score === null ? 1 : 0;
          return [group, group === 0 ? better * (row.score ?? 0) : 0] as const;
        });
        expect(order).toEqual([...order].sort((a, b) => a[0] - b[0] || a[1] - b[1]));
      }),
    );
  });

  it('is provisional until all heats that count are confirmed, and one does', () => {
    fc.assert(
      fc.property(drawn, ([race, outcomes]) => {
        const counting = outcomes.filter(({ counts }) => counts);
        const settled = counting.length > 0 && counting.every(({ state }) => state === 'confirmed');
        expect(standing(race, outcomes).provisional).toBe(!settled);
      }),
    );
  });
});

describe('the window of a crossing', () => {
  it('is that of the last arming at or before it', () => {
    const armings = fc.array(fc.record({ heat: fc.constantFrom('h1', 'h2', 'h3'), atUs: fc.nat(20) }));
    fc.assert(
      fc.property(armings, fc.nat(20), (written, atUs) => {
        let expected: string | null = null;
        let latestUs = -1;
        for (const arming of written) {
          if (arming.atUs > atUs || arming.atUs < latestUs) continue;
          expected = arming.heat;
          latestUs = arming.atUs;
        }
        expect(heatAt(armingsInOrder(written), atUs)).toBe(expected);
      }),
    );
  });
});
