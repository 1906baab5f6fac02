import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { endOfHeat } from '../../server/heats/end-of-heat.ts';
import type { Crossing, HeatFacts, Ruling } from '../../server/heats/facts.ts';
import { extendHeat, foldHeat, type HeatState } from '../../server/heats/fold.ts';
import { lapGoal } from '../../server/heats/plan.ts';
import {
  anyCrossings,
  anyFacts,
  anyPlan,
  asText,
  bitsOf,
  planWith,
  startedFacts,
  steadyCrossings,
  timeFormat,
} from '../helpers/heat-facts.ts';

const many = { numRuns: 400 };
const empty: HeatFacts = { events: [], rulings: [], crossings: [] };

/** Facts one by one, each as an extension of its own. */
function singly({ events, rulings, crossings }: HeatFacts): Partial<HeatFacts>[] {
  return [
    ...events.map((event) => ({ events: [event] })),
    ...rulings.map((ruling) => ({ rulings: [ruling] })),
    ...crossings.map((crossing) => ({ crossings: [crossing] })),
  ];
}

/** Facts in any order, cut into any portions. */
function portionsOf(facts: HeatFacts): fc.Arbitrary<HeatFacts[]> {
  const all = singly(facts);
  return fc
    .tuple(
      fc.shuffledSubarray(all, { minLength: all.length }),
      fc.array(fc.integer({ min: 1, max: 12 }), { minLength: 1 }),
    )
    .map(([shuffled, sizes]) => {
      const portions: HeatFacts[] = [];
      for (let from = 0, i = 0; from < shuffled.length; i++) {
        const to = from + (sizes[i % sizes.length] as number);
        portions.push(together(shuffled.slice(from, to)));
        from = to;
      }
      return portions;
    });
}

function together(parts: readonly Partial<HeatFacts>[]): HeatFacts {
  return {
    events: parts.flatMap(({ events }) => events ?? []),
    rulings: parts.flatMap(({ rulings }) => rulings ?? []),
    crossings: parts.flatMap(({ crossings }) => crossings ?? []),
  };
}

describe('folding', () => {
  it('does not depend on the order of the facts', () => {
    const shuffled = anyFacts.chain((facts) => fc.tuple(fc.constant(facts), portionsOf(facts).map(together)));
    fc.assert(
      fc.property(anyPlan, shuffled, (plan, [facts, others]) => {
        expect(asText(foldHeat(plan, others, bitsOf))).toBe(asText(foldHeat(plan, facts, bitsOf)));
      }),
      many,
    );
  });

  it('takes a repeated fact once', () => {
    fc.assert(
      fc.property(anyPlan, anyFacts, (plan, facts) => {
        const twice = together([facts, facts]);
        const state = foldHeat(plan, facts, bitsOf);
        expect(asText(foldHeat(plan, twice, bitsOf))).toBe(asText(state));
        expect(asText(extendHeat(state, facts))).toBe(asText(state));
      }),
      many,
    );
  });

  it('leaves out crossings of lanes that the track has not', () => {
    fc.assert(
      fc.property(anyPlan, anyFacts, (plan, facts) => {
        const elsewhere = facts.crossings.map((crossing, seq) => ({ ...crossing, seq: 1000 + seq, lane: 9 }));
        const more = { ...facts, crossings: [...facts.crossings, ...elsewhere] };
        expect(asText(foldHeat(plan, more, bitsOf))).toBe(asText(foldHeat(plan, facts, bitsOf)));
      }),
    );
  });
});

describe('extending', () => {
  it('is the same as folding all at once, in any order and any portions', () => {
    const portioned = anyFacts.chain((facts) => fc.tuple(fc.constant(facts), portionsOf(facts)));
    fc.assert(
      fc.property(anyPlan, portioned, (plan, [facts, portions]) => {
        let state = foldHeat(plan, empty, bitsOf);
        portions.forEach((portion, i) => {
          state = extendHeat(state, portion);
          const sofar = together(portions.slice(0, i + 1));
          expect(asText(state)).toBe(asText(foldHeat(plan, sofar, bitsOf)));
        });
        expect(asText(state)).toBe(asText(foldHeat(plan, facts, bitsOf)));
      }),
      many,
    );
  });

  it('is the same as folding, crossing by crossing after the journal', () => {
    fc.assert(
      fc.property(anyPlan, anyFacts, (plan, facts) => {
        const journal = foldHeat(plan, { ...facts, crossings: [] }, bitsOf);
        const state = facts.crossings.reduce<HeatState>((heat, one) => extendHeat(heat, { crossings: [one] }), journal);
        expect(asText(state)).toBe(asText(foldHeat(plan, facts, bitsOf)));
      }),
      many,
    );
  });

  it('leaves the state before as it was, also when it goes two ways from there', () => {
    fc.assert(
      fc.property(anyPlan, anyFacts, anyCrossings, (plan, facts, drawn) => {
        const others = drawn.map((crossing) => ({ ...crossing, seq: crossing.seq + 100 }));
        const state = foldHeat(plan, facts, bitsOf);
        const before = asText(state);
        const ways = others.map((crossing) => extendHeat(state, { crossings: [crossing] }));
        expect(asText(state)).toBe(before);
        ways.forEach((way, i) => {
          const crossings = [...facts.crossings, others[i] as Crossing];
          expect(asText(way)).toBe(asText(foldHeat(plan, { ...facts, crossings }, bitsOf)));
        });
      }),
    );
  });
});

describe('the count', () => {
  it('is the raw count again after everything is undone', () => {
    fc.assert(
      fc.property(anyPlan, anyFacts, (plan, facts) => {
        const last = Math.max(0, ...[...facts.events, ...facts.rulings].map(({ n }) => n));
        // Backwards, so that each undo meets the ruling as it stands; an undo that is undone stands no more.
        const rulings = facts.rulings.toReversed().map<Ruling>((ruling, i) => ({
          n: last + 1 + i,
          kind: 'undo',
          target: { n: ruling.n },
          why: '',
          by: 'director',
          atUs: 0,
        }));
        const undone = foldHeat(plan, { ...facts, rulings: [...facts.rulings, ...rulings] }, bitsOf);
        const raw = foldHeat(plan, { ...facts, rulings: [] }, bitsOf);
        expect(asText({ ...undone, rulings: [] })).toBe(asText(raw));
      }),
      many,
    );
  });

  it('numbers laps from 1 and never gives more than the goal', () => {
    fc.assert(
      fc.property(anyPlan, anyFacts, (plan, facts) => {
        const goal = lapGoal(plan.format) ?? Number.POSITIVE_INFINITY;
        for (const { laps, rules } of foldHeat(plan, facts, bitsOf).lanes) {
          expect(laps.toArray().map(({ n }) => n)).toEqual(Array.from({ length: laps.length }, (_, i) => i + 1));
          expect(laps.length).toBeLessThanOrEqual(goal);
          if (rules.entry === null) expect(laps.length).toBe(0);
        }
      }),
      many,
    );
  });

  it('gives every crossing exactly one verdict', () => {
    fc.assert(
      fc.property(anyPlan, anyFacts, (plan, facts) => {
        const keys = foldHeat(plan, facts, bitsOf).lanes.flatMap(({ crossings }) =>
          crossings.toArray().map(({ crossing }) => crossing.seq),
        );
        expect(keys.sort((a, b) => a - b)).toEqual(facts.crossings.map(({ seq }) => seq));
      }),
    );
  });

  it('ends the heat where the laps counted up to the end say that it ends', () => {
    fc.assert(
      fc.property(anyPlan, anyFacts, (plan, facts) => {
        const { clock, byClockUs, lanes } = foldHeat(plan, facts, bitsOf);
        expect(endOfHeat(plan, byClockUs, clock, lanes)).toBe(clock.endUs);
      }),
      many,
    );
  });

  it('never falls as crossings of a steady sensor come in, in whatever order', () => {
    const arriving = steadyCrossings.chain((crossings) =>
      fc.shuffledSubarray(crossings, { minLength: crossings.length }),
    );
    const lapsOf = (state: HeatState) => state.lanes.map(({ laps }) => laps.length);
    fc.assert(
      fc.property(planWith(timeFormat), arriving, (plan, crossings: Crossing[]) => {
        let state = foldHeat(plan, startedFacts([]), bitsOf);
        for (const crossing of crossings) {
          const before = lapsOf(state);
          state = extendHeat(state, { crossings: [crossing] });
          lapsOf(state).forEach((laps, i) => {
            expect(laps).toBeGreaterThanOrEqual(before[i] as number);
          });
        }
      }),
      many,
    );
  });
});
