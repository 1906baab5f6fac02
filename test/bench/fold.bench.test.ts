import { expect, it } from 'vitest';
import type { Crossing, HeatFacts } from '../../server/heats/facts.ts';
import { extendHeat, foldHeat, type HeatState } from '../../server/heats/fold.ts';
import type { HeatFormat, HeatPlan } from '../../server/heats/plan.ts';
import { countMeeting } from '../../server/results/count.ts';
import type { MeetingFacts } from '../../server/results/meeting-facts.ts';

/** Far more than any heat of the hobby has: eight lanes for about three hours. */
const crossingCount = 10_000;
const lanes = 8;
const startUs = 1_000_000_000;

/** A whole fold of the heat takes no longer. */
const foldLimitMs = 200;
/** One more crossing costs less than a whole fold by at least this factor; measured: some thousands. */
const leastRatio = 300;
/** The last crossings of the heat cost at most so many times what the first ones cost: the cost does not grow. */
const mostGrowth = 4;

const formats: Record<string, HeatFormat> = {
  time: { kind: 'time', durationMs: 4 * 3_600_000, firstTo: null },
  'first to': { kind: 'time', durationMs: null, firstTo: 2000 },
  laps: { kind: 'laps', laps: 2000, limitMs: null },
};

function planOf(format: HeatFormat): HeatPlan {
  return {
    heat: 'h1',
    race: 'r1',
    format,
    start: 'ahead',
    holdRollUs: 2_000_000,
    endRollUs: 2_000_000,
    standingFastest: false,
    lanes: Array.from({ length: lanes }, (_, i) => {
      return { lane: i + 1, minLapUs: 2_500_000, entry: `e${i + 1}`, delayMs: 0 };
    }),
  };
}

/** Laps of about eight seconds, one crossing a second, with a scatter that repeats. */
const crossings = Array.from({ length: crossingCount }, (_, i): Crossing => {
  const afterUs = (i + 1) * 1_000_000 + ((i * 7919) % 100_003);
  return {
    device: 's1',
    boot: 'b1',
    seq: i + 1,
    lane: 1 + (i % lanes),
    tUs: afterUs,
    atUs: startUs + afterUs,
    late: false,
  };
});

const facts: HeatFacts = {
  events: [
    { n: 1, kind: 'arm', atUs: startUs - 20_000_000, by: 'director' },
    { n: 2, kind: 'start', atUs: startUs, by: 'director' },
    { n: 3, kind: 'hold', atUs: startUs + 900_000_000, by: 'director' },
    { n: 4, kind: 'resume', atUs: startUs + 930_000_000, by: 'director' },
  ],
  rulings: [{ n: 5, kind: 'judge', target: { device: 's1', boot: 'b1', seq: 99 }, value: 2, why: '', by: '', atUs: 0 }],
  crossings,
};

const bitsOf = () => 64 as const;

function elapsedMs(work: () => unknown): number {
  const started = performance.now();
  work();
  return performance.now() - started;
}

/** The median of several runs: other programs of the machine disturb single ones. */
function medianMs(work: () => unknown, runs = 7): number {
  const times = Array.from({ length: runs }, () => elapsedMs(work)).sort((a, b) => a - b);
  return times[Math.floor(runs / 2)] as number;
}

function extendAll(state: HeatState, more: readonly Crossing[]): HeatState {
  return more.reduce((heat, crossing) => extendHeat(heat, { crossings: [crossing] }), state);
}

it.each(Object.entries(formats))('extends a heat far quicker than it folds it: %s', (name, format) => {
  const plan = planOf(format);
  const empty = foldHeat(plan, { ...facts, crossings: [] }, bitsOf);
  const portion = 1000;
  const beforeLast = foldHeat(plan, { ...facts, crossings: crossings.slice(0, -portion) }, bitsOf);

  const foldMs = medianMs(() => foldHeat(plan, facts, bitsOf));
  const firstMs = medianMs(() => extendAll(empty, crossings.slice(0, portion))) / portion;
  const lastMs = medianMs(() => extendAll(beforeLast, crossings.slice(-portion))) / portion;
  const ratio = foldMs / lastMs;
  const figures = `fold ${foldMs.toFixed(1)} ms, one crossing ${(1000 * lastMs).toFixed(1)} us, ratio ${ratio.toFixed(0)}`;
  console.log(`${name}: ${figures}, first crossings ${(1000 * firstMs).toFixed(1)} us`);

  expect(foldMs).toBeLessThan(foldLimitMs);
  expect(ratio).toBeGreaterThan(leastRatio);
  expect(lastMs / firstMs).toBeLessThan(mostGrowth);
});

it('counts a meeting of that one heat within the same limit', () => {
  const { lanes: laid } = planOf(formats.time as HeatFormat);
  const meeting: MeetingFacts = {
    meeting: { name: 'Long night', date: '2026-03-14', zone: 'Europe/Vienna' },
    track: {
      name: 'Attic',
      lanes: laid.map(({ lane, minLapUs }) => ({ lane, lengthMm: 30_000, minLapUs })),
      start: 'ahead',
      holdRollUs: 2_000_000,
      endRollUs: 2_000_000,
    },
    drivers: [{ id: 'd1', nickname: 'Otter' }],
    races: [
      {
        id: 'r1',
        name: 'Endurance',
        carClass: 'Open',
        format: formats.time as HeatFormat,
        minLapUs: null,
        missing: 'zero',
        standingFastest: false,
        heatsPerEntry: null,
      },
    ],
    entries: laid.map(({ entry }) => ({ id: entry as string, race: 'r1', driver: 'd1', car: 'red' })),
    heats: [
      {
        id: 'h1',
        race: 'r1',
        ordinal: 1,
        lanes: laid.map(({ lane, entry, delayMs }) => ({ lane, entry: entry as string, delayMs })),
        marshals: [],
        reruns: null,
      },
    ],
    devices: [{ id: 's1', bits: 64 }],
    journal: [...facts.events, ...facts.rulings].map((fact) => ({ heat: 'h1', fact })),
    crossings,
  };
  const countMs = medianMs(() => countMeeting(meeting));
  console.log(`meeting: ${countMs.toFixed(1)} ms`);
  expect(countMs).toBeLessThan(foldLimitMs);
});
