import { readFileSync } from 'node:fs';
import { describe, expect, it } from 'vitest';
import { calibrate, type TriggerReadings } from '../../server/profiles/calibration/calibrate.ts';
import { unwrap } from '../../server/profiles/calibration/circle.ts';
import { position } from '../../server/profiles/calibration/position.ts';
import { randomFrom } from '../../server/shared/random.ts';
import { readingsOf } from '../helpers/trigger-strokes.ts';

// Streams made from a known trigger, with what a program of other hands answered: data/controller/vectors.json.

interface Vector {
  readonly id: string;
  readonly input: TriggerReadings;
  readonly truth: {
    verdict: string;
    codes: string[];
    direction: number;
    released?: number;
    pressed?: number;
    travelCounts?: number;
    tolCounts?: number;
  };
  readonly reached: {
    verdict: string;
    codes: string[];
    released: number;
    pressed: number;
    direction: number;
    travelCounts: number;
    travelDeg: number;
    noiseCounts: number;
    deadBandCounts: number;
    rotateMagnetDeg: number;
  };
}

interface Check {
  readonly id: string;
  readonly value: unknown;
}

const fileOf = (name: string) => readFileSync(new URL(`data/controller/${name}`, import.meta.url), 'utf8');
const { vectors } = JSON.parse(fileOf('vectors.json')) as { vectors: Vector[] };
const { checks } = JSON.parse(fileOf('references.json')) as { checks: Check[] };
const valueOf = (id: string) => checks.find((check) => check.id === id)?.value;

/** Distance of two counts the short way round. */
function apart(a: number, b: number, bits: number): number {
  const distance = Math.abs(a - b) % 2 ** bits;
  return Math.min(distance, 2 ** bits - distance);
}

describe('readings of a known trigger', () => {
  it('are all there', () => {
    expect(vectors).toHaveLength(18);
  });

  it.each(vectors.map((vector) => [vector.id, vector] as const))('%s', (_id, { input, truth, reached }) => {
    const { verdict, codes, ends, adviceDegrees } = calibrate(input);
    expect(verdict).toBe(truth.verdict);
    expect(codes).toEqual(expect.arrayContaining(truth.codes));
    expect(reached.codes).toEqual(expect.arrayContaining([...codes]));
    if (!ends) throw new Error('nothing was found');
    if (truth.codes[0] !== 'MOVED_TOO_FAST') expect(ends.direction).toBe(truth.direction);
    const tolerance = truth.tolCounts ?? 0;
    if (truth.released !== undefined) {
      expect(apart(ends.released, truth.released, input.bits)).toBeLessThanOrEqual(tolerance);
    }
    if (truth.pressed !== undefined) {
      expect(apart(ends.pressed, truth.pressed, input.bits)).toBeLessThanOrEqual(tolerance);
    }

    expect(codes).toEqual(reached.codes);
    expect(ends).toMatchObject({
      released: reached.released,
      pressed: reached.pressed,
      direction: reached.direction,
      deadBand: reached.deadBandCounts,
    });
    // The other program prints whole counts of travel.
    expect(Math.abs(ends.travel - reached.travelCounts)).toBeLessThanOrEqual(0.5);
    expect(Math.abs((ends.travel * 360) / 2 ** input.bits - reached.travelDeg)).toBeLessThan(1e-9);
    // It writes rounding noise as 1 / sqrt(12), the rules as 0.2887.
    expect(Math.abs(ends.noise - reached.noiseCounts)).toBeLessThan(1e-4);
    expect(adviceDegrees).toBeCloseTo(reached.rotateMagnetDeg, 9);
  });
});

describe('readings as one steady movement', () => {
  it('as the examples of numpy.unwrap (NumPy manual; run with NumPy 2.4.6)', () => {
    const steady = valueOf('unwrap') as number[][];
    expect([
      [...unwrap([0, 1, 2, -1, 0], 4)],
      [...unwrap([1, 2, 3, 4, 5, 6, 1, 2, 3], 6)],
      [...unwrap([2, 3, 4, 5, 2, 3, 4, 5], 4)],
    ]).toEqual(steady);
  });

  it('as the example of unwrap in the python-control manual', () => {
    const inPi = [...unwrap([1, 1.5, 0, 0.5, 1], 2)];
    expect(inPi).toEqual(valueOf('unwrap-2'));
  });
});

describe('3,000 random triggers', () => {
  const random = randomFrom(20_261);
  const between = (low: number, high: number) => low + (high - low) * random.unit();
  const streams = Array.from({ length: 3000 }, (_, i) => {
    const bits = i % 2 === 0 ? 12 : 14;
    const turn = 2 ** bits;
    const strokes = {
      bits,
      rest: between(0, turn),
      travel: Math.round(turn * between(0.1, 0.3)) * (random.unit() < 0.5 ? -1 : 1),
      restSamples: Math.floor(between(60, 120)),
      noise: between(0, 5),
      spikes: i % 5,
      seed: i,
    };
    return { ...strokes, input: readingsOf(strokes) };
  });
  /** Places on the circle at which noise alone would decide whether the count started again within the travel. */
  const isClear = ({ bits, rest, travel, noise }: (typeof streams)[number]) =>
    [rest, rest + travel].every((end) => apart(end, 0, bits) > 5 * noise + 1);
  const clear = streams.filter(isClear);

  it('are hardly ever on the edge', () => {
    expect(clear.length).toBeGreaterThan(2850);
  });

  it('have the right verdict, direction, travel and ends', () => {
    for (const { bits, rest, travel, input } of clear) {
      const { verdict, ends } = calibrate(input);
      const turn = 2 ** bits;
      const isWrapped = Math.floor(rest / turn) !== Math.floor((rest + travel) / turn);
      const truth = isWrapped ? 're-seat the magnet' : 'ok';
      expect({ verdict, direction: ends?.direction }).toEqual({ verdict: truth, direction: Math.sign(travel) });
      if (!ends) continue;
      expect(Math.abs(ends.travel - Math.abs(travel))).toBeLessThanOrEqual(0.8 * (1 + ends.noise));
      const within = 2 * ends.noise + 2;
      expect(apart(ends.released, rest, bits)).toBeLessThanOrEqual(within);
      expect(apart(ends.pressed, rest + travel, bits)).toBeLessThanOrEqual(within);
    }
  });

  it('are at 0 and 1 at their ends, and in the middle halfway', () => {
    for (const { bits, rest, travel, input } of clear) {
      const { ends } = calibrate(input);
      if (!ends) throw new Error('nothing was found');
      const at = (share: number) =>
        position(ends, ((Math.round(rest + share * travel) % 2 ** bits) + 2 ** bits) % 2 ** bits);
      expect(at(0)).toBe(0);
      expect(at(1)).toBe(1);
      expect(Math.abs(at(0.5) - 0.5)).toBeLessThan(0.03);
      // Beyond the ends too: a spring that gives way is no jump to the other end.
      expect([at(-0.05), at(1.05)]).toEqual([0, 1]);
    }
  });
});

describe('readings that cannot be used', () => {
  const good = readingsOf({ bits: 12, rest: 1000, travel: 600, restSamples: 60 });

  it('are too few, or mostly of hands off', () => {
    for (const input of [
      { ...good, counts: good.counts.slice(0, 199) },
      { ...good, restSamples: 29 },
      { ...good, restSamples: good.counts.length },
      { ...good, counts: [] },
    ]) {
      expect(calibrate(input)).toMatchObject({
        verdict: 'repeat',
        codes: ['TOO_FEW'],
        ends: null,
        adviceDegrees: null,
      });
    }
  });

  it.each([0.5, -1, 4096, Number.NaN, Number.POSITIVE_INFINITY])('hold %d', (wrong) => {
    const input = { ...good, counts: good.counts.with(200, wrong) };
    expect(calibrate(input)).toMatchObject({ verdict: 'repeat', codes: ['BAD_COUNT'], ends: null });
  });

  it('are all the same', () => {
    const { verdict, codes } = calibrate({ bits: 12, restSamples: 60, counts: Array(300).fill(1234) });
    expect({ verdict, codes }).toEqual({ verdict: 're-seat the magnet', codes: ['TRAVEL_TOO_SMALL'] });
  });

  it('and say which of what was found did not decide', () => {
    const moved = calibrate({ ...good, counts: good.counts.map((count, k) => (k < 30 ? count + 40 : count)) });
    expect(moved.codes).toContain('REST_MOVED');
    expect(moved.warnings).not.toContain('REST_MOVED');
    const near = vectors.find(({ id }) => id === 'at-rail-zero') as Vector;
    expect(calibrate(near.input)).toMatchObject({ codes: ['AT_RAIL', 'NEAR_WRAP'], warnings: ['NEAR_WRAP'] });
  });
});
