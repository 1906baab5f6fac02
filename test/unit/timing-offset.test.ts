import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import type { ClockBits } from '../../server/heats/facts.ts';
import { type Random, randomFrom } from '../../server/shared/random.ts';
import { ageUs, allowedDriftPpb, type ClockState, readClock } from '../../server/timing/offset.ts';

const serverZeroUs = 1_800_000_000_000_000;
const second = 1_000_000;
const wrap = 2 ** 32;

/** A device's clock and its way to the server; delays and rates are chosen by the test. */
type Way = {
  bits: ClockBits;
  /** Reading of its clock, before any wrap, at the server's zero. */
  bootUs: number;
  ratePpm: number;
  upUs: (random: Random) => number;
  downUs: (random: Random) => number;
};

type Seen = {
  /** Estimate minus truth. */
  errorUs: number;
  /** Least way up and least round trip, of the last two minutes and of the whole run. */
  recentUpUs: number;
  leastRttUs: number | null;
  secondsIn: number;
  state: ClockState;
};

/** Sends a heartbeat every 2 s; each carries the round trip of the one before, as the contract says. */
function run(way: Way, seconds: number, seed: number, everyUs = 2 * second): Seen[] {
  const random = randomFrom(seed);
  const deviceUs = (trueUs: number) => Math.round(way.bootUs + trueUs * (1 + way.ratePpm / 1e6));
  const seen: Seen[] = [];
  const ways: { atUs: number; upUs: number }[] = [];
  let state: ClockState | null = null;
  let rttUs: number | null = null;
  let leastRttUs: number | null = null;
  for (let trueUs = 0; trueUs < seconds * second; trueUs += everyUs) {
    const upUs = Math.round(way.upUs(random));
    const downUs = Math.round(way.downUs(random));
    const sentUs = deviceUs(trueUs);
    const reading = readClock(state, {
      bits: way.bits,
      sentUs: way.bits === 32 ? sentUs % wrap : sentUs,
      receivedUs: serverZeroUs + trueUs + upUs,
      rttUs,
      longestWayUs: null,
    });
    // Through JSON, as it is stored.
    state = JSON.parse(JSON.stringify(reading.state)) as ClockState;
    if (rttUs !== null) leastRttUs = Math.min(leastRttUs ?? rttUs, rttUs);
    ways.push({ atUs: trueUs, upUs });
    const recent = ways.filter(({ atUs }) => atUs > trueUs - 115 * second);
    const wrapsUs = sentUs - reading.sentUs; // a whole number of wraps that does not change
    seen.push({
      errorUs: reading.offsetUs - (serverZeroUs + trueUs + upUs - (deviceUs(trueUs + upUs) - wrapsUs)),
      recentUpUs: Math.min(...recent.map((r) => r.upUs)),
      leastRttUs,
      secondsIn: trueUs / second,
      state,
    });
    rttUs = deviceUs(trueUs + upUs + downUs) - sentUs;
  }
  return seen;
}

const quantile = (values: number[], q: number) =>
  values.sort((a, b) => a - b)[Math.ceil(q * values.length) - 1] ?? Number.NaN;
const jitter = (fromUs: number, toUs: number) => (random: Random) => fromUs + (toUs - fromUs) * random.unit();
const steady = (us: number) => () => us;

describe('the offset of a clock', () => {
  test('is the offset of RFC 5905 section 8 when ways are steady and equally long', () => {
    fc.assert(
      fc.property(fc.nat(10 ** 12), fc.integer({ min: 0, max: 200_000 }), fc.nat(30_000), (bootUs, wayUs, answerUs) => {
        // T1 sent, T2 received, T3 answered, T4 answer received; T1 and T4 on the device's clock.
        const t1 = bootUs;
        const t2 = serverZeroUs + wayUs;
        const t3 = t2 + answerUs;
        const t4 = bootUs + wayUs + answerUs + wayUs;
        const theta = (t2 - t1 + (t3 - t4)) / 2;
        const delta = t4 - t1 - (t3 - t2);
        const first = readClock(null, { bits: 64, sentUs: t1, receivedUs: t2, rttUs: null, longestWayUs: null });
        const reading = readClock(first.state, {
          bits: 64,
          sentUs: t1 + second,
          receivedUs: t2 + second,
          rttUs: delta,
          longestWayUs: null,
        });
        expect(reading.offsetUs).toBe(theta);
      }),
    );
  });

  test('is at most half a round trip off (RFC 5905 section 8), plus the drift allowed since', () => {
    fc.assert(
      fc.property(
        fc.nat(),
        fc.integer({ min: -200, max: 200 }),
        fc.integer({ min: 0, max: 100_000 }),
        fc.integer({ min: 0, max: 100_000 }),
        fc.integer({ min: 0, max: 50_000 }),
        (seed, ratePpm, upUs, downUs, jitterUs) => {
          const way = {
            bits: 64 as const,
            bootUs: 5 * second,
            ratePpm,
            upUs: jitter(upUs, upUs + jitterUs),
            downUs: jitter(downUs, downUs + jitterUs),
          };
          for (const { errorUs, recentUpUs, leastRttUs } of run(way, 300, seed)) {
            if (leastRttUs === null) continue;
            const driftUs = (120 * second * (allowedDriftPpb / 1000 + Math.abs(ratePpm))) / 1e6;
            expect(errorUs).toBeGreaterThanOrEqual(-leastRttUs / 2 - 200);
            expect(errorUs).toBeLessThanOrEqual(recentUpUs + driftUs - leastRttUs / 2 + 200);
          }
        },
      ),
      { numRuns: 60 },
    );
  });

  test.each([
    ['during a race of eight lanes, five reports a second', 0.2, 5_000],
    ['during a race of four lanes, a report a second or so', 0.8, 6_000],
    ['with nothing but heartbeats', 2, 9_000],
  ])('ways of 20 ms ± 20 ms, %s: never off by half a round trip', (_, everySeconds, within95Us) => {
    const errors: number[] = [];
    for (let seed = 1; seed <= 20; seed += 1) {
      const way = { bits: 64 as const, bootUs: 0, ratePpm: 50, upUs: jitter(0, 40_000), downUs: jitter(0, 40_000) };
      const seen = run(way, 600, seed, everySeconds * second);
      errors.push(...seen.flatMap((s) => (s.secondsIn < 10 ? [] : [Math.abs(s.errorUs)])));
    }
    expect(Math.max(...errors)).toBeLessThan(20_000);
    expect(quantile(errors, 0.95)).toBeLessThan(within95Us);
  });

  test.each([
    ['up 100 ms, down 5 ms', 100_000, 5_000],
    ['up 5 ms, down 100 ms', 5_000, 100_000],
  ])('%s: off by half the difference, which no exchange of time stamps can see', (_, upUs, downUs) => {
    const way = { bits: 64 as const, bootUs: 0, ratePpm: 0, upUs: steady(upUs), downUs: steady(downUs) };
    const last = run(way, 60, 1).at(-1);
    expect(last?.errorUs).toBe((upUs - downUs) / 2);
    expect(Math.abs(last?.errorUs ?? 0)).toBeLessThanOrEqual((upUs + downUs) / 2);
  });

  test.each([50, -50])('a crystal %i ppm off: an hour later no 180 ms have gathered', (ratePpm) => {
    const way = { bits: 32 as const, bootUs: 0, ratePpm, upUs: jitter(2_000, 12_000), downUs: jitter(2_000, 12_000) };
    const seen = run(way, 3_600, 3);
    expect(Math.max(...seen.slice(15).map((s) => Math.abs(s.errorUs)))).toBeLessThan(10_000);
    expect(seen.every((s) => s.state.ratePpb === 0)).toBe(true);
  });

  test.each([10_000, -10_000])('an oscillator %i ppm off is noticed within 60 s and followed', (ratePpm) => {
    const way = { bits: 64 as const, bootUs: 0, ratePpm, upUs: jitter(5_000, 25_000), downUs: jitter(5_000, 25_000) };
    const seen = run(way, 3_600, 4);
    const noticed = seen.find((s) => s.state.ratePpb !== 0)?.secondsIn ?? Number.POSITIVE_INFINITY;
    expect(noticed).toBeLessThanOrEqual(60);
    const after = seen.filter((s) => s.secondsIn > 60);
    expect(after.every((s) => Math.abs(s.state.ratePpb / 1000 + ratePpm) < 1_500)).toBe(true);
    expect(Math.max(...after.map((s) => Math.abs(s.errorUs)))).toBeLessThan(30_000);
  });

  test('an unsteady network alone never makes a good clock suspect', () => {
    for (let seed = 1; seed <= 100; seed += 1) {
      const way = { bits: 64 as const, bootUs: 0, ratePpm: 50, upUs: jitter(0, 60_000), downUs: jitter(0, 60_000) };
      expect(run(way, 300, seed).filter((s) => s.state.ratePpb !== 0)).toEqual([]);
    }
  });

  test('a clock of 32 bits is followed over any number of wraps, also over silences', () => {
    fc.assert(
      fc.property(fc.nat(), fc.nat(2 ** 33), fc.integer({ min: 2, max: 1500 }), (seed, bootUs, everySeconds) => {
        const way = { bits: 32 as const, bootUs, ratePpm: 40, upUs: jitter(1_000, 9_000), downUs: steady(4_000) };
        const seen = run(way, 6 * 3_600, seed, everySeconds * second);
        expect(Math.max(...seen.slice(1).map((s) => Math.abs(s.errorUs)))).toBeLessThan(60_000);
      }),
      { numRuns: 30 },
    );
  });

  test('a report that was held up for two minutes changes nothing', () => {
    const way = {
      bits: 32 as const,
      bootUs: wrap - 30 * second,
      ratePpm: 0,
      upUs: steady(5_000),
      downUs: steady(5_000),
    };
    const { state } = run(way, 60, 1).at(-1) as Seen;
    const before = readClock(state, {
      bits: 32,
      sentUs: 30 * second,
      receivedUs: serverZeroUs + 60 * second + 5_000,
      rttUs: null,
      longestWayUs: null,
    });
    const late = readClock(state, {
      bits: 32,
      sentUs: 30 * second,
      receivedUs: serverZeroUs + 180 * second,
      rttUs: null,
      longestWayUs: null,
    });
    expect(late.sentUs).toBe(before.sentUs);
    expect(late.offsetUs - before.offsetUs).toBeLessThanOrEqual((125 * second * allowedDriftPpb) / 1e9);
  });

  test('a phone whose clock stood still while it slept is believed at once', () => {
    const phone = { bits: 64 as const, rttUs: 4_000, longestWayUs: 5 * second };
    const awake = readClock(null, { ...phone, sentUs: 0, receivedUs: serverZeroUs });
    const slow = readClock(awake.state, { ...phone, sentUs: second, receivedUs: serverZeroUs + 6 * second });
    expect(slow.offsetUs).toBeLessThan(awake.offsetUs + 10_000);
    const slept = readClock(awake.state, { ...phone, sentUs: second, receivedUs: serverZeroUs + 61 * second });
    expect(slept.offsetUs).toBe(awake.offsetUs + 60 * second);
  });

  test('a state that says nothing new need not be stored', () => {
    const first = readClock(null, { bits: 64, sentUs: 0, receivedUs: serverZeroUs, rttUs: 4_000, longestWayUs: null });
    expect(first.changed).toBe(true);
    const worse = readClock(first.state, {
      bits: 64,
      sentUs: 100,
      receivedUs: serverZeroUs + 5_000,
      rttUs: 9_000,
      longestWayUs: null,
    });
    expect(worse).toMatchObject({ changed: false, state: first.state });
    const better = readClock(first.state, {
      bits: 64,
      sentUs: 5_000,
      receivedUs: serverZeroUs + 4_000,
      rttUs: null,
      longestWayUs: null,
    });
    expect(better.changed).toBe(true);
  });
});

describe('the age of a crossing', () => {
  test('is what went by on the clock, across a wrap of 32 bits', () => {
    expect(ageUs(64, 1_000, 400)).toBe(600);
    expect(ageUs(64, 400, 1_000)).toBe(-600);
    expect(ageUs(32, 100, wrap - 50)).toBe(150);
    expect(ageUs(32, wrap - 200_000, 0)).toBe(wrap - 200_000);
  });

  test('is a little below zero for one that was noted while the report was being sent', () => {
    expect(ageUs(32, 1_000, 1_250)).toBe(-250);
    expect(ageUs(32, wrap - 10, 20)).toBe(-30);
    expect(ageUs(32, 0, 100_000)).toBe(-100_000);
    expect(ageUs(32, 0, 100_001)).toBe(wrap - 100_001);
  });

  test('of any two instants less than 71 minutes apart is right', () => {
    fc.assert(
      fc.property(fc.nat(2 ** 40), fc.integer({ min: -100_000, max: wrap - 100_001 }), (sentUs, trueAgeUs) => {
        const tUs = (((sentUs - trueAgeUs) % wrap) + wrap) % wrap;
        expect(ageUs(32, sentUs % wrap, tUs)).toBe(trueAgeUs);
      }),
    );
  });
});
