import { expect, it } from 'vitest';
import { calibrate } from '../../server/profiles/calibration/calibrate.ts';
import { readingsOf } from '../helpers/trigger-strokes.ts';

const limitMs = 200;

it('checks 20,000 readings', () => {
  const trigger = { bits: 14, rest: 5000, travel: 2800, restSamples: 1000, noise: 4, spikes: 4 };
  const readings = readingsOf({ ...trigger, rate: 50 });
  expect(readings.counts.length).toBeGreaterThan(20_000);

  const timesMs = Array.from({ length: 7 }, () => {
    const started = process.cpuUsage();
    calibrate(readings);
    const { user, system } = process.cpuUsage(started);
    return (user + system) / 1000;
  }).sort((a, b) => a - b);
  const [fastest = 0] = timesMs;
  const slowest = timesMs.at(-1) as number;
  console.log(`20,000 readings: ${fastest.toFixed(1)} to ${slowest.toFixed(1)} ms`);
  expect(calibrate(readings).verdict).toBe('ok');
  expect(slowest).toBeLessThan(limitMs);
});
