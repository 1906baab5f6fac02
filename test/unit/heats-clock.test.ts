import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import type { EventKind, HeatEvent } from '../../server/heats/facts.ts';
import { extendHeat, foldHeat } from '../../server/heats/fold.ts';
import { confirmedAtUs, heatPhase, isVoid, shownClock } from '../../server/heats/phase.ts';
import type { HeatFormat, HeatPlan } from '../../server/heats/plan.ts';
import { heldBetween, holdAt, instantOf, never, raceClock, raceTimeAt } from '../../server/heats/race-clock.ts';
import { anyFacts } from '../helpers/heat-facts.ts';

function events(...pressed: [EventKind, number][]): HeatEvent[] {
  return pressed.map(([kind, atUs], i) => ({ n: i + 1, kind, atUs, by: 'director' }));
}

function heat(format: HeatFormat, pressed: HeatEvent[]) {
  const lanes = [{ lane: 1, minLapUs: 0, entry: 'e1', delayMs: 0 }];
  const roll = { holdRollUs: 0, endRollUs: 0 };
  const plan: HeatPlan = { heat: 'h', race: 'r', format, start: 'ahead', ...roll, standingFastest: false, lanes };
  return foldHeat(plan, { events: pressed, rulings: [], crossings: [] }, () => 64);
}

const tenSeconds: HeatFormat = { kind: 'time', durationMs: 10_000, firstTo: null };
const second = 1_000_000;

describe('race time', () => {
  const instants = fc.integer({ min: 90_000_000, max: 140_000_000 });

  it('and the holds make up the time since the start', () => {
    fc.assert(
      fc.property(anyFacts, instants, (facts, atUs) => {
        const clock = raceClock(facts.events, never);
        fc.pre(clock.startUs !== never);
        expect(raceTimeAt(clock, atUs) + heldBetween(clock, clock.startUs, atUs)).toBe(atUs - clock.startUs);
      }),
    );
  });

  it('never runs backwards, and stands still exactly in holds', () => {
    fc.assert(
      fc.property(anyFacts, instants, (facts, atUs) => {
        const clock = raceClock(facts.events, never);
        fc.pre(clock.startUs !== never);
        const step = raceTimeAt(clock, atUs + 1) - raceTimeAt(clock, atUs);
        expect(step).toBe(holdAt(clock, atUs) === null ? 1 : 0);
      }),
    );
  });

  it('is reached first at the instant that is asked for', () => {
    fc.assert(
      fc.property(anyFacts, fc.nat(60_000_000), (facts, raceUs) => {
        const clock = raceClock(facts.events, never);
        const atUs = instantOf(clock, raceUs);
        fc.pre(atUs !== never);
        expect(raceTimeAt(clock, atUs)).toBe(raceUs);
        expect(raceTimeAt(clock, atUs - 1)).toBeLessThan(raceUs);
      }),
    );
  });
});

describe('the phase of a heat', () => {
  it('goes from the plan to the confirmation', () => {
    let state = heat(tenSeconds, []);
    expect(heatPhase(state, 0)).toBe('planned');
    state = extendHeat(state, { events: events(['arm', 5 * second]) });
    expect(heatPhase(state, 6 * second)).toBe('armed');
    expect(heatPhase(state, 6 * second, true)).toBe('planned');
    state = heat(tenSeconds, events(['arm', 5 * second], ['start', 20 * second]));
    expect(heatPhase(state, 20 * second - 1)).toBe('countdown');
    expect(heatPhase(state, 20 * second)).toBe('running');
    expect(heatPhase(state, 30 * second - 1)).toBe('running');
    expect(heatPhase(state, 30 * second)).toBe('ended');
    const held = events(['start', 20 * second], ['hold', 22 * second], ['resume', 25 * second]);
    state = heat(tenSeconds, held);
    expect([22 * second - 1, 22 * second, 25 * second - 1, 25 * second].map((at) => heatPhase(state, at))).toEqual([
      'running',
      'held',
      'held',
      'running',
    ]);
    state = heat(tenSeconds, [...held, { n: 4, kind: 'confirm', atUs: 33 * second, by: 'director' }]);
    expect(heatPhase(state, 40 * second)).toBe('confirmed');
    expect(confirmedAtUs(state)).toBe(33 * second);
  });

  it('is not confirmed by a confirm before the end', () => {
    const state = heat(tenSeconds, events(['start', 0], ['confirm', 9 * second]));
    expect([heatPhase(state, 9 * second), heatPhase(state, 10 * second)]).toEqual(['running', 'ended']);
  });

  it('stays what it is when the heat is made void', () => {
    const state = heat(tenSeconds, events(['start', 0]));
    const made = { n: 2, kind: 'void', target: {}, why: '', by: '', atUs: second } as const;
    const voided = extendHeat(state, { rulings: [made] });
    expect([isVoid(state), isVoid(voided)]).toEqual([false, true]);
    expect(heatPhase(voided, second)).toBe('running');
  });
});

describe('the clock shown', () => {
  const state = heat(tenSeconds, events(['start', 20 * second], ['hold', 22 * second], ['resume', 25 * second]));

  it.each([
    [17, { elapsedUs: -3 * second, leftUs: 10 * second, ticking: true }],
    [21, { elapsedUs: second, leftUs: 9 * second, ticking: true }],
    [24, { elapsedUs: 2 * second, leftUs: 8 * second, ticking: false }],
    [26, { elapsedUs: 3 * second, leftUs: 7 * second, ticking: true }],
    [33, { elapsedUs: 10 * second, leftUs: 0, ticking: false }],
    [60, { elapsedUs: 10 * second, leftUs: 0, ticking: false }],
  ])('after %i s', (seconds, shown) => {
    expect(shownClock(state, seconds * second)).toEqual(shown);
  });

  it('has no time left where the heat has no limit, and is not there before the start', () => {
    const laps: HeatFormat = { kind: 'laps', laps: 5, limitMs: null };
    expect(shownClock(heat(laps, events(['start', 0])), second)?.leftUs).toBeNull();
    expect(shownClock(heat(laps, events(['arm', 0])), second)).toBeNull();
  });
});
