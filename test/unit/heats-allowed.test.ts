import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { recordedAtUs, refusedArm, refusedEvent, refusedRuling, stopDueAtUs } from '../../server/heats/allowed.ts';
import type { Crossing, Decision, EventKind, HeatEvent } from '../../server/heats/facts.ts';
import { extendHeat, foldHeat, type HeatState } from '../../server/heats/fold.ts';
import { confirmedAtUs } from '../../server/heats/phase.ts';
import type { HeatFormat, HeatPlan, StartMode } from '../../server/heats/plan.ts';
import { anyFacts, anyPlan, asText, bitsOf } from '../helpers/heat-facts.ts';

const second = 1_000_000;
const tenSeconds: HeatFormat = { kind: 'time', durationMs: 10_000, firstTo: null };

function plan(format: HeatFormat = tenSeconds, start: StartMode = 'ahead'): HeatPlan {
  const lanes = [
    { lane: 1, minLapUs: second, entry: 'e1', delayMs: 2000 },
    { lane: 2, minLapUs: second, entry: null, delayMs: 0 },
  ];
  const roll = { holdRollUs: 0, endRollUs: 2 * second };
  return { heat: 'h', race: 'r', format, start, ...roll, standingFastest: false, lanes };
}

function crossing(seq: number, atUs: number): Crossing {
  return { device: 's1', boot: 'b1', seq, lane: 1, tUs: atUs, atUs, late: false };
}

function heat(pressed: [EventKind, number][], options: { plan?: HeatPlan; crossings?: Crossing[] } = {}): HeatState {
  const events = pressed.map<HeatEvent>(([kind, atUs], i) => ({ n: i + 1, kind, atUs, by: 'director' }));
  return foldHeat(options.plan ?? plan(), { events, rulings: [], crossings: options.crossings ?? [] }, bitsOf);
}

const started: [EventKind, number][] = [
  ['arm', 0],
  ['start', 10 * second],
];

describe('an event', () => {
  it.each<[string, [EventKind, number][], EventKind, number, string | null]>([
    ['arm', [], 'arm', 0, null],
    ['arm again', [['arm', 0]], 'arm', 1, null],
    ['arm after the start', started, 'arm', 11 * second, 'already-started'],
    ['start of a heat that is not armed', [], 'start', 0, 'not-armed'],
    ['start', [['arm', 0]], 'start', 1, null],
    ['second start', started, 'start', 11 * second, 'already-started'],
    ['hold before the start', [['arm', 0]], 'hold', 1, 'not-started'],
    ['hold recorded at the start', started, 'hold', 10 * second, null],
    ['hold dated before the last event', started, 'hold', 10 * second - 1, 'before-last-event'],
    ['hold at the end', started, 'hold', 20 * second, 'already-ended'],
    ['hold in a hold', [...started, ['hold', 12 * second]], 'hold', 13 * second, 'already-held'],
    ['resume outside a hold', started, 'resume', 12 * second, 'not-held'],
    ['resume', [...started, ['hold', 12 * second]], 'resume', 13 * second, null],
    ['stop at the end', started, 'stop', 20 * second, null],
    ['stop after the end', started, 'stop', 20 * second + 1, 'already-ended'],
    ['finish before the end', started, 'finish', 20 * second - 1, 'not-ended'],
    ['confirm at the end', started, 'confirm', 20 * second, null],
    ['second confirm', [...started, ['confirm', 20 * second]], 'confirm', 21 * second, 'already-confirmed'],
  ])('%s', (_, pressed, kind, atUs, refusal) => {
    expect(refusedEvent(heat(pressed), kind, atUs)).toBe(refusal);
  });

  it('that is refused for the state is ignored by the fold, one that is not refused acts', () => {
    const kind = fc.constantFrom<EventKind>('start', 'hold', 'resume', 'stop', 'confirm');
    fc.assert(
      fc.property(anyPlan, anyFacts, kind, fc.nat(40), (heatPlan, facts, pressed, ticks) => {
        const state = foldHeat(heatPlan, facts, bitsOf);
        const atUs = recordedAtUs(state, 0) + ticks * 250_000;
        const n = Math.max(...facts.events.map((event) => event.n), ...facts.rulings.map((ruling) => ruling.n)) + 1;
        const after = extendHeat(state, { events: [{ n, kind: pressed, atUs, by: 'director' }] });
        const same = asText(after) === asText(state) && confirmedAtUs(after) === confirmedAtUs(state);
        const refusal = refusedEvent(state, pressed, atUs);
        // A heat may be started without being armed, as far as counting goes.
        fc.pre(refusal !== 'not-armed');
        if (refusal !== null) expect(same).toBe(true);
        // A stop where the heat ends anyway changes nothing.
        else if (pressed !== 'stop' || atUs < state.clock.endUs) expect(same).toBe(false);
      }),
      { numRuns: 600 },
    );
  });

  it('pressed in the countdown is recorded at the start', () => {
    expect(recordedAtUs(heat(started), 3 * second)).toBe(10 * second);
    expect(recordedAtUs(heat(started), 13 * second)).toBe(13 * second);
  });
});

describe('arming the next heat', () => {
  it('waits for the end and the roll of the heat before', () => {
    expect(refusedArm(null, 0)).toBeNull();
    expect(refusedArm(heat([['arm', 0]]), 1)).toBeNull();
    expect(refusedArm(heat(started), 20 * second - 1)).toBe('track-in-use');
    expect(refusedArm(heat(started), 22 * second - 1)).toBe('cars-still-rolling');
    expect(refusedArm(heat(started), 22 * second)).toBeNull();
  });
});

describe('the stop of a heat that ends by itself', () => {
  const format: HeatFormat = { kind: 'time', durationMs: 10_000, firstTo: 2 };
  const crossings = [13, 15, 17].map((seconds, seq) => crossing(seq, seconds * second));

  it('is due where laps ended it, once', () => {
    const ended = heat(started, { plan: plan(format), crossings });
    expect(stopDueAtUs(ended, 17 * second - 1)).toBeNull();
    expect(stopDueAtUs(ended, 17 * second)).toBe(17 * second);
    const stopped = heat([...started, ['stop', 17 * second]], { plan: plan(format), crossings });
    expect(stopDueAtUs(stopped, 30 * second)).toBeNull();
  });

  it('is not due where the clock ended it, nor where later events stand', () => {
    expect(stopDueAtUs(heat(started), 30 * second)).toBeNull();
    expect(stopDueAtUs(heat(started, { plan: plan(format) }), 30 * second)).toBeNull();
    const confirmed = heat([...started, ['confirm', 18 * second]], { plan: plan(format), crossings });
    expect(stopDueAtUs(confirmed, 30 * second)).toBeNull();
  });
});

describe('a ruling', () => {
  const key = (seq: number) => ({ device: 's1', boot: 'b1', seq });
  const crossings = [crossing(1, 11 * second), crossing(2, 12 * second)];
  const ofRace = (entry: string) => entry.startsWith('e');

  function refused(ruling: Decision, format?: HeatFormat, start?: StartMode) {
    return refusedRuling(heat(started, { plan: plan(format, start), crossings }), ruling, ofRace);
  }

  it.each<[Decision, string | null]>([
    [{ kind: 'judge', target: key(1), value: 9 }, null],
    [{ kind: 'judge', target: key(1), value: 10 }, 'value-out-of-range'],
    [{ kind: 'judge', target: key(3), value: 1 }, 'no-such-crossing'],
    [{ kind: 'move', target: key(1), value: 1 }, null],
    [{ kind: 'move', target: key(1), value: 2 }, 'lane-without-entry'],
    [{ kind: 'move', target: key(1), value: 3 }, 'no-such-lane'],
    [{ kind: 'adjust', target: { lane: 1 }, value: -100 }, null],
    [{ kind: 'adjust', target: { lane: 2 }, value: -100 }, 'lane-without-entry'],
    [{ kind: 'adjust', target: { entry: 'e7' }, value: -100 }, null],
    [{ kind: 'adjust', target: { entry: 'f1' }, value: -100 }, 'entry-of-another-race'],
    [{ kind: 'total', target: { lane: 1 }, value: -1 }, 'value-out-of-range'],
    [{ kind: 'part', target: { lane: 1 }, value: 99 }, null],
    [{ kind: 'part', target: { lane: 1 }, value: 100 }, 'value-out-of-range'],
    [{ kind: 'retire', target: { lane: 2 } }, 'lane-without-entry'],
    [{ kind: 'exclude', target: { entry: 'e7' }, value: 'heat' }, 'entry-not-in-heat'],
    [{ kind: 'exclude', target: { entry: 'e7' }, value: 'race' }, null],
    [{ kind: 'exclude', target: { entry: 'f1' }, value: 'race' }, 'entry-of-another-race'],
    [{ kind: 'void', target: {} }, null],
    [{ kind: 'undo', target: { n: 1 } }, 'no-such-ruling'],
  ])('%j', (ruling, refusal) => {
    expect(refused(ruling)).toBe(refusal);
  });

  it('gives no part laps in a laps heat', () => {
    const laps: HeatFormat = { kind: 'laps', laps: 5, limitMs: null };
    expect(refused({ kind: 'part', target: { lane: 1 }, value: 5 }, laps)).toBe('part-in-a-laps-heat');
  });

  it('makes no crossing count before its lane starts, where cars start in their first lap', () => {
    const judge = (seq: number, value: number): Decision => ({ kind: 'judge', target: key(seq), value });
    expect(refused(judge(1, 1), tenSeconds, 'ahead')).toBeNull();
    for (const start of ['behind', 'carry'] as const) {
      expect(refused(judge(1, 1), tenSeconds, start)).toBe('before-lane-start');
      expect(refused(judge(1, 0), tenSeconds, start)).toBeNull();
      expect(refused(judge(2, 1), tenSeconds, start)).toBeNull();
    }
  });

  it('makes no heat void that was not started', () => {
    expect(refusedRuling(heat([['arm', 0]]), { kind: 'void', target: {} }, ofRace)).toBe('not-started');
  });

  it('undoes earlier rulings', () => {
    const ruling = { n: 3, kind: 'retire', target: { lane: 1 }, why: '', by: '', atUs: 0 } as const;
    const ruled = extendHeat(heat(started), { rulings: [ruling] });
    expect(refusedRuling(ruled, { kind: 'undo', target: { n: 3 } }, ofRace)).toBeNull();
  });
});
