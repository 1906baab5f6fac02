import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { randomFrom } from '../../server/shared/random.ts';
import { Field, type FieldOptions, type Trigger } from '../../server/timing/simulation/field.ts';
import { type Network, type Reply, SensorRefused, SimulatedSensor } from '../../server/timing/simulation/sensor.ts';

const second = 1_000_000;
const clean: FieldOptions = { lanes: [1, 2, 3, 4], lapUs: 6 * second, bounces: 0, misses: 0, crashes: 0 };

function race(options: FieldOptions, seed: number, seconds: number): Trigger[] {
  const field = new Field(options, seed);
  field.start(0);
  return field.triggersUntil(seconds * second);
}

/** Spans between one lane's triggers. */
function spans(triggers: readonly Trigger[], lane: number): number[] {
  const at = triggers.filter((t) => t.lane === lane).map((t) => t.atUs);
  return at.slice(1).map((us, i) => us - (at[i] ?? 0));
}

const mean = (values: number[]) => values.reduce((sum, v) => sum + v, 0) / values.length;

describe('the simulated field', () => {
  test('the same seed gives the same race, in whatever steps it is watched', () => {
    fc.assert(
      fc.property(fc.nat(), fc.array(fc.integer({ min: 1, max: 9_000_000 }), { maxLength: 40 }), (seed, steps) => {
        const options = { ...clean, bounces: 0.2, misses: 0.1, crashes: null };
        const field = new Field(options, seed);
        field.start(0);
        const seen: Trigger[] = [];
        let now = 0;
        for (const step of steps) {
          now += step;
          seen.push(...field.triggersUntil(now));
        }
        expect(seen).toEqual(race(options, seed, now / second));
        expect(seen.map((t) => t.atUs)).toEqual(seen.map((t) => t.atUs).sort((a, b) => a - b));
      }),
    );
    expect(race(clean, 1, 60)).not.toEqual(race(clean, 2, 60));
  });

  // The figures that drivers, cars and sensors are known for: common practice, no source.
  test('drivers differ in pace and in scatter as people do', () => {
    const triggers = race(clean, 3, 3_600);
    const laps = clean.lanes.map((lane) => spans(triggers, lane).slice(2));
    const paces = laps.map(mean);
    expect(paces).toEqual([...paces].sort((a, b) => a - b));
    expect((paces[0] ?? 0) / clean.lapUs).toBeGreaterThan(0.99);
    expect((paces[0] ?? 0) / clean.lapUs).toBeLessThan(1.04);
    const scatter = laps.map((l) => Math.sqrt(mean(l.map((us) => (us - mean(l)) ** 2))) / mean(l));
    const [expert = 0, club = 0, , child = 0] = scatter;
    expect(expert).toBeGreaterThan(0.008);
    expect(expert).toBeLessThan(0.015);
    expect(club).toBeGreaterThan(0.02);
    expect(club).toBeLessThan(0.03);
    expect(child).toBeGreaterThan(0.05);
    expect(child).toBeLessThan(0.1);
  });

  test('deslots, missed crossings and bounces come as often as asked for', () => {
    const crashing = spans(race({ ...clean, lanes: [1], crashes: 0.1 }, 5, 36_000), 1);
    const crashed = crashing.filter((us) => us > clean.lapUs * 1.3);
    expect(crashed.length / crashing.length).toBeGreaterThan(0.08);
    expect(crashed.length / crashing.length).toBeLessThan(0.12);
    const missing = spans(race({ ...clean, lanes: [1], misses: 0.05 }, 6, 36_000), 1);
    const missed = missing.filter((us) => us > clean.lapUs * 1.8);
    expect(missed.length / missing.length).toBeGreaterThan(0.035);
    expect(missed.length / missing.length).toBeLessThan(0.065);
    const bouncing = spans(race({ ...clean, lanes: [1], bounces: 0.1 }, 7, 36_000), 1);
    const bounced = bouncing.filter((us) => us < 100_000);
    expect(bounced.every((us) => us >= 1_000 && us <= 30_000)).toBe(true);
    expect(bounced.length / (bouncing.length - bounced.length)).toBeGreaterThan(0.08);
    expect(bounced.length / (bouncing.length - bounced.length)).toBeLessThan(0.12);
  });

  test('without power cars roll out for a moment and then stand; with power they go on where they stood', () => {
    fc.assert(
      fc.property(
        fc.nat(),
        fc.integer({ min: 1, max: 60 }),
        fc.integer({ min: 2, max: 600 }),
        (seed, atSeconds, pause) => {
          const field = new Field(clean, seed);
          field.start(0);
          const before = field.triggersUntil(atSeconds * second);
          field.hold(atSeconds * second);
          const rolling = field.triggersUntil((atSeconds + pause) * second);
          expect(new Set(rolling.map(({ lane }) => lane)).size).toBe(rolling.length);
          expect(rolling.every(({ atUs }) => atUs <= (atSeconds + 1) * second)).toBe(true);
          field.resume((atSeconds + pause) * second);
          const after = field.triggersUntil((atSeconds + pause + 60) * second);
          const held = spans([...before, ...rolling, ...after], 1).map((us) => us / clean.lapUs);
          // No lap is gained and none is lost by the pause.
          expect(held.every((laps) => laps > 0.9 && laps < 1.1 + pause / 6 + 0.3)).toBe(true);
        },
      ),
    );
  });
});

describe('the simulated sensor', () => {
  /** A server that keeps what it gets, over a network that does what the test says. */
  function server(fails: (n: number) => Reply | 'lost' | 'cut' | null) {
    const kept = new Map<number, string>();
    let requests = 0;
    const network: Network = {
      askTime: async () => ({ status: 200, retryAfterMs: null, body: { server_us: 1 } }),
      async send(door, body) {
        if (door === 'heartbeat') return { status: 200, retryAfterMs: null, body: { final_to: kept.size - 1 } };
        const fault = fails(requests++);
        if (fault === 'lost') throw new Error('no network');
        if (fault !== null && fault !== 'cut') return fault;
        const { events } = body as { events: { seq: number }[] };
        const stored: number[] = [];
        const duplicate: number[] = [];
        for (const event of events) {
          (kept.has(event.seq) ? duplicate : stored).push(event.seq);
          kept.set(event.seq, JSON.stringify(event));
        }
        if (fault === 'cut') throw new Error('the answer was lost');
        return {
          status: 200,
          retryAfterMs: null,
          body: { stored, duplicate, conflict: [], rejected: [], server_us: 1 },
        };
      },
    };
    return { network, kept };
  }

  function sensorOn(network: Network, bits: 32 | 64 = 64) {
    const pauses: number[] = [];
    let nowUs = 2 ** 32 - 1_000;
    const sensor = new SimulatedSensor({
      boot: 'b1',
      bits,
      nowUs: () => (nowUs += 100),
      pause: async (ms) => {
        pauses.push(ms);
      },
      network,
      random: randomFrom(1),
    });
    return { sensor, pauses };
  }

  test('hands over every crossing once over a network that loses requests and answers', async () => {
    await fc.assert(
      fc.asyncProperty(
        fc.array(fc.constantFrom('lost', 'cut', null), { maxLength: 30 }),
        fc.nat(400),
        async (faults, n) => {
          const { network, kept } = server((i) => (faults[i] ?? null) as 'lost' | 'cut' | null);
          const { sensor } = sensorOn(network);
          for (let i = 0; i < n; i += 1) {
            sensor.cross(1, i);
            if (i % 7 === 0) await sensor.sendHeld();
          }
          for (let i = 0; i < 100 && sensor.buffered > 0; i += 1) await sensor.sendHeld();
          expect(sensor.buffered).toBe(0);
          expect([...kept.keys()].sort((a, b) => a - b)).toEqual(Array.from({ length: n }, (_, i) => i));
          expect(sensor.counts.stored + sensor.counts.duplicate).toBe(n);
        },
      ),
    );
  });

  test('waits longer each time, as long as the server asks, and begins anew after an answer', async () => {
    const busy: Reply = { status: 503, retryAfterMs: 5_000, body: null };
    const { network } = server((n) => (n < 4 ? 'lost' : n === 4 ? busy : n === 5 ? null : 'lost'));
    const { sensor, pauses } = sensorOn(network);
    sensor.cross(1, 1);
    for (let i = 0; i < 6; i += 1) await sensor.sendHeld();
    sensor.cross(1, 2);
    await sensor.sendHeld();
    const bounds = [250, 500, 1_000, 2_000];
    for (const [i, ms] of bounds.entries()) {
      expect(pauses[i]).toBeGreaterThanOrEqual(ms * 0.75);
      expect(pauses[i]).toBeLessThanOrEqual(ms * 1.25);
    }
    expect(pauses[4]).toBeGreaterThanOrEqual(5_000);
    expect(pauses[5]).toBeLessThanOrEqual(250 * 1.25);
    expect(pauses).toHaveLength(6);
  });

  test('gives up only when the server will never take it', async () => {
    const { network } = server(() => ({ status: 401, retryAfterMs: null, body: { sentence: 'No such token.' } }));
    const { sensor } = sensorOn(network);
    sensor.cross(1, 1);
    await expect(sensor.sendHeld()).rejects.toThrow(SensorRefused);
    expect(sensor.buffered).toBe(1);
  });

  test('its clock of 32 bits wraps', async () => {
    const { network, kept } = server(() => null);
    const { sensor } = sensorOn(network, 32);
    sensor.cross(1, 2 ** 32 + 5);
    await sensor.sendHeld();
    expect(kept.get(0)).toBe('{"seq":0,"lane":1,"t_us":5}');
  });

  test('sends again what a restored server has lost', async () => {
    const { network, kept } = server(() => null);
    const { sensor } = sensorOn(network);
    for (let i = 0; i < 10; i += 1) sensor.cross(1, i);
    await sensor.sendHeld();
    await sensor.beat();
    for (let seq = 6; seq < 10; seq += 1) kept.delete(seq);
    await sensor.beat();
    expect(sensor.buffered).toBe(4);
    await sensor.sendHeld();
    expect([...kept.keys()].sort((a, b) => a - b)).toEqual([0, 1, 2, 3, 4, 5, 6, 7, 8, 9]);
  });
});
