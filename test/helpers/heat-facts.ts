import fc from 'fast-check';
import type { ClockBits, Crossing, Decision, HeatEvent, HeatFacts, Ruling } from '../../server/heats/facts.ts';
import type { HeatState } from '../../server/heats/fold.ts';
import { laneSummaries } from '../../server/heats/lane-summary.ts';
import type { HeatFormat, HeatPlan } from '../../server/heats/plan.ts';

/** Facts of heats for property tests: coarse instants, so that limits are met exactly and instants coincide. */

export const startUs = 100_000_000;
const tickUs = 250_000;
/** Instants from 6 s before the start to 30 s after it. */
const instant = fc.integer({ min: -24, max: 120 }).map((ticks) => startUs + ticks * tickUs);

export const bitsOf = (device: string): ClockBits => (device === 's1' ? 32 : 64);

export const timeFormat: fc.Arbitrary<HeatFormat> = fc.record({
  kind: fc.constant('time' as const),
  durationMs: fc.constantFrom(4000, 12_000, 20_000),
  firstTo: fc.constant(null),
});

const anyFormat: fc.Arbitrary<HeatFormat> = fc.oneof(
  timeFormat,
  fc.record({
    kind: fc.constant('time' as const),
    durationMs: fc.constantFrom(null, 12_000),
    firstTo: fc.integer({ min: 1, max: 4 }),
  }),
  fc.record({
    kind: fc.constant('laps' as const),
    laps: fc.integer({ min: 1, max: 4 }),
    limitMs: fc.constantFrom(null, 12_000),
  }),
);

/** A heat on three lanes; nobody drives on the third. */
export function planWith(format: fc.Arbitrary<HeatFormat>): fc.Arbitrary<HeatPlan> {
  return fc.record({
    heat: fc.constant('h1'),
    race: fc.constant('r1'),
    format,
    start: fc.constantFrom('ahead', 'behind', 'carry'),
    holdRollUs: fc.constantFrom(0, 2 * tickUs),
    endRollUs: fc.constantFrom(0, 8 * tickUs),
    standingFastest: fc.boolean(),
    lanes: fc.tuple(fc.constantFrom(0, 500, 3000), fc.constantFrom(0, 1_000_000)).map(([delayMs, minLapUs]) => [
      { lane: 1, minLapUs, entry: 'e1', delayMs },
      { lane: 2, minLapUs: 1_000_000, entry: 'e2', delayMs: 0 },
      { lane: 3, minLapUs: 1_000_000, entry: null, delayMs: 0 },
    ]),
  });
}

export const anyPlan = planWith(anyFormat);

/** Crossings with keys of their own; sensors restart, their clocks drift and one of them wraps. */
export const anyCrossings: fc.Arbitrary<Crossing[]> = fc
  .array(
    fc.record({
      device: fc.constantFrom('s1', 's1', 's2'),
      boot: fc.constantFrom('b1', 'b1', 'b1', 'b2'),
      lane: fc.constantFrom(1, 1, 2, 2, 3),
      atUs: instant,
      driftUs: fc.constantFrom(0, 0, 7, -tickUs),
      late: fc.constantFrom(false, false, false, true),
    }),
    { minLength: 1, maxLength: 40 },
  )
  .map((drawn) =>
    drawn.map(({ driftUs, ...crossing }, seq) => {
      const tUs = crossing.atUs + driftUs + 2 ** 32 - startUs - 5_000_000;
      return { ...crossing, seq, tUs: crossing.device === 's1' ? tUs % 2 ** 32 : tUs };
    }),
  );

/** Crossings as one sensor with an exact clock sends them, in order of time. */
export const steadyCrossings: fc.Arbitrary<Crossing[]> = fc
  .array(fc.record({ lane: fc.constantFrom(1, 2), atUs: instant }), { maxLength: 40 })
  .map((drawn) =>
    drawn
      .sort((a, b) => a.atUs - b.atUs)
      .map(({ lane, atUs }, seq) => ({ device: 's2', boot: 'b1', seq, lane, tUs: atUs, atUs, late: false })),
  );

type Step = { readonly afterTicks: number } & (
  | { readonly kind: 'hold' | 'resume' | 'stop' | 'finish' | 'confirm' | 'start' | 'arm' }
  | { readonly decide: (earlier: readonly number[]) => Decision }
);

function anyStep(crossings: readonly Crossing[]): fc.Arbitrary<Step> {
  const crossing = fc.constantFrom(...crossings).map(({ device, boot, seq }) => ({ device, boot, seq }));
  const lane = fc.constantFrom({ lane: 1 }, { lane: 2 });
  const entry = fc.constantFrom({ entry: 'e1' }, { entry: 'e2' });
  const onCrossings: fc.Arbitrary<Decision>[] = [
    fc.record({ kind: fc.constant('judge' as const), target: crossing, value: fc.constantFrom(0, 1, 2, 3) }),
    fc.record({ kind: fc.constant('move' as const), target: crossing, value: fc.constantFrom(1, 2) }),
  ];
  const decision: fc.Arbitrary<Decision> = fc.oneof(
    ...onCrossings,
    ...onCrossings,
    fc.record({ kind: fc.constant('adjust' as const), target: fc.oneof(lane, entry), value: fc.integer() }),
    fc.record({ kind: fc.constant('total' as const), target: lane, value: fc.nat() }),
    fc.record({ kind: fc.constant('part' as const), target: lane, value: fc.nat(99) }),
    fc.record({ kind: fc.constant('retire' as const), target: lane }),
    fc.record({
      kind: fc.constant('exclude' as const),
      target: entry,
      value: fc.constantFrom('heat' as const, 'race' as const),
    }),
    fc.record({ kind: fc.constant('void' as const), target: fc.constant({}) }),
  );
  const afterTicks = fc.integer({ min: 0, max: 16 });
  const kinds = ['hold', 'hold', 'resume', 'resume', 'stop', 'finish', 'confirm', 'start', 'arm'] as const;
  return fc.oneof(
    fc.record({ afterTicks, kind: fc.constantFrom(...kinds) }),
    fc.record({ afterTicks, decide: decision.map((made) => () => made) }),
    fc.record({ afterTicks, decide: fc.nat().map(undoOneOf) }),
  );
}

/** An undo of one of the earlier rulings; where there is none, a ruling without effect. */
function undoOneOf(choice: number): (earlier: readonly number[]) => Decision {
  return (earlier) => {
    const n = earlier[choice % Math.max(1, earlier.length)];
    return n === undefined ? { kind: 'adjust', target: { lane: 1 }, value: 0 } : { kind: 'undo', target: { n } };
  };
}

/** Events and rulings numbered together, whose instants do not fall. */
function journalOf(steps: readonly Step[]): Pick<HeatFacts, 'events' | 'rulings'> {
  const events: HeatEvent[] = [];
  const rulings: Ruling[] = [];
  let atUs = startUs - 24 * tickUs;
  steps.forEach((step, i) => {
    const n = i + 1;
    if ('kind' in step) {
      const isFirstStart = step.kind === 'start' && events.every(({ kind }) => kind !== 'start');
      atUs = isFirstStart ? Math.max(atUs, startUs) : atUs + step.afterTicks * tickUs;
      events.push({ n, kind: step.kind, atUs, by: 'director' });
    } else {
      const decided = step.decide(rulings.map((ruling) => ruling.n));
      const rulingUs = atUs + step.afterTicks * tickUs;
      rulings.push({ n, ...decided, why: 'seen', by: 'director', atUs: rulingUs });
    }
  });
  return { events, rulings };
}

/** Facts of a heat that is armed and, mostly, started. */
export const anyFacts: fc.Arbitrary<HeatFacts> = anyCrossings.chain((crossings) =>
  fc
    .tuple(fc.constantFrom(true, true, true, false), fc.array(anyStep(crossings), { maxLength: 16 }))
    .map(([started, steps]) => {
      const arm: Step = { kind: 'arm', afterTicks: 0 };
      const start: Step = { kind: 'start', afterTicks: 0 };
      return { crossings, ...journalOf([arm, ...(started ? [start] : []), ...steps]) };
    }),
);

/** Facts of a heat that runs without any ruling. */
export function startedFacts(crossings: readonly Crossing[]): HeatFacts {
  const { events } = journalOf([
    { kind: 'arm', afterTicks: 0 },
    { kind: 'start', afterTicks: 0 },
  ]);
  return { events, rulings: [], crossings };
}

/** All that a heat has come to, as text: two heats are counted the same when their texts are equal. */
export function asText(state: HeatState): string {
  const lanes = state.lanes.map(({ rules, crossings, laps, ...lane }) => ({
    ...lane,
    startUs: String(rules.startUs),
    goalAtUs: String(lane.goalAtUs),
    crossings: crossings.toArray(),
    laps: laps.toArray(),
  }));
  const clock = { ...state.clock, endUs: String(state.clock.endUs) };
  return JSON.stringify({ clock, lanes, summaries: laneSummaries(state), rulings: state.rulings }, null, 1);
}
