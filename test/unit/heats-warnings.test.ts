import fc from 'fast-check';
import { expect, it } from 'vitest';
import type { Crossing } from '../../server/heats/facts.ts';
import { foldHeat } from '../../server/heats/fold.ts';
import { RunningMedian } from '../../server/heats/running-median.ts';
import { heatWarnings } from '../../server/heats/warnings.ts';
import { anyFacts, anyPlan, asText, bitsOf } from '../helpers/heat-facts.ts';

// The limits of each warning are checked against recorded cases in test/reference/nights.test.ts.

const second = 1_000_000;

function lane(...seconds: number[]) {
  const crossings = seconds.map<Crossing>((at, seq) => {
    return { device: 's1', boot: 'b1', seq, lane: 1, tUs: at * second, atUs: at * second, late: false };
  });
  const events = [{ n: 1, kind: 'start', atUs: 0, by: 'director' } as const];
  return foldHeat(
    {
      heat: 'h',
      race: 'r',
      format: { kind: 'time', durationMs: 600_000, firstTo: null },
      start: 'ahead',
      holdRollUs: 0,
      endRollUs: 0,
      standingFastest: false,
      lanes: [{ lane: 1, minLapUs: second, entry: 'e1', delayMs: 0 }],
    },
    { events, rulings: [], crossings },
    bitsOf,
  );
}

it('keeps the median of what was added', () => {
  fc.assert(
    fc.property(fc.array(fc.nat(1000), { minLength: 5 }), (values) => {
      const median = new RunningMedian();
      for (const value of values) median.add(value);
      const sorted = [...values].sort((a, b) => a - b);
      const half = sorted.length / 2;
      const expected = sorted.length % 2 === 1 ? 2 * (sorted[half - 0.5] as number) : sorted[half - 1]! + sorted[half]!;
      expect(median.twice).toBe(expected);
    }),
  );
});

it('asks for five laps before it has a median', () => {
  const median = new RunningMedian();
  for (const value of [1, 2, 3, 4]) median.add(value);
  expect(median.twice).toBeNull();
});

it('takes a missed crossing for weak where a deslot was noted in that lap', () => {
  const state = lane(1, 6, 11, 16, 21, 26, 36);
  const strength = (deslotUs: number) =>
    heatWarnings(state, 40 * second, [{ lane: 1, atUs: deslotUs }]).map((one) => 'strength' in one && one.strength);
  expect(strength(26 * second)).toEqual(['strong']);
  expect(strength(26 * second + 1)).toEqual(['weak']);
  expect(strength(36 * second)).toEqual(['weak']);
  expect(strength(36 * second + 1)).toEqual(['strong']);
});

it('never changes a count', () => {
  fc.assert(
    fc.property(anyPlan, anyFacts, fc.integer(), (plan, facts, untilUs) => {
      const state = foldHeat(plan, facts, bitsOf);
      const before = asText(state);
      heatWarnings(state, untilUs, [{ lane: 1, atUs: untilUs }]);
      expect(asText(state)).toBe(before);
    }),
  );
});
