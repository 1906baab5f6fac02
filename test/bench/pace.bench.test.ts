import { setFlagsFromString } from 'node:v8';
import { runInNewContext } from 'node:vm';
import { expect, test } from 'vitest';
import { type FitProgress, fitSeason } from '../../server/pace/fit.ts';
import type { DriverRow, LapRow } from '../../server/pace/lap-row.ts';
import type { PaceFit } from '../../server/pace/pace-fit.ts';
import { randomFrom } from '../../server/shared/random.ts';

/**
 * How long a fit takes, laps to report, on one core. Clubs of different shapes with as many laps: many drivers over a year
 * or two, and few over many years, whose covariances of a driver's nights are large. Demands: 5 s and 15 s of processor
 * time for 100,000 and 1,000,000 laps, less than 600 MB.
 */
interface Club {
  readonly drivers: number;
  readonly nights: number;
  readonly heats: number;
  readonly laps: number;
  readonly classes: number;
}

function lapsOf({ drivers, nights, heats, laps, classes }: Club): LapRow[] {
  const random = randomFrom(11);
  const level = Array.from({ length: drivers }, () => 1.8 + 0.06 * random.normal());
  const out: LapRow[] = [];
  for (let night = 1; night <= nights; night++) {
    const grip = 0.015 * random.normal();
    for (let d = 0; d < drivers; d++) {
      level[d] = (level[d] as number) + 0.004 * random.normal();
      const form = 0.006 * random.normal();
      for (let heat = 0; heat < heats; heat++) {
        const pace = (level[d] as number) + grip + form + 0.008 * random.normal();
        const place = { heat: `h${(d + heat) % drivers}`, startS: 240 * ((d + heat) % drivers), lane: (heat % 4) + 1 };
        const who = { driver: `Driver ${d}`, carClass: `Class ${heat % classes}`, track: 'T' };
        for (let lap = 1; lap <= laps; lap++) {
          const crash = random.unit() < 0.03;
          const timeS = Math.exp(pace + 0.025 * random.normal()) + (crash ? 3 + 3 * random.unit() : 0);
          out.push({ night, ...place, ...who, lap, timeS, flag: crash && random.unit() < 0.7 ? 'crash' : '' });
        }
      }
    }
  }
  return out;
}

// So that a club does not carry the laps of the one before it.
setFlagsFromString('--expose-gc');
const collectGarbage: () => void = runInNewContext('gc');

interface Timed {
  readonly fit: PaceFit;
  readonly cpuS: number;
  readonly peakMb: number;
  readonly yields: number;
  readonly longestMs: number;
}

function timed(laps: readonly LapRow[], drivers: readonly DriverRow[]): Timed {
  const before = process.cpuUsage();
  const fitting: Generator<FitProgress, PaceFit> = fitSeason(laps, drivers, { seed: 1 });
  let yields = 0;
  let longestMs = 0;
  let peak = 0;
  for (;;) {
    const from = performance.now();
    const step = fitting.next();
    longestMs = Math.max(longestMs, performance.now() - from);
    if (yields++ % 20 === 0) peak = Math.max(peak, process.memoryUsage().rss);
    if (!step.done) continue;
    const { user, system } = process.cpuUsage(before);
    const peakMb = Math.max(peak, process.memoryUsage().rss) / 2 ** 20;
    return { fit: step.value, cpuS: (user + system) / 1e6, peakMb, yields, longestMs };
  }
}

const clubs: readonly (readonly [string, number, Club])[] = [
  ['24 drivers, 50 nights', 5, { drivers: 24, nights: 50, heats: 4, laps: 21, classes: 1 }],
  ['24 drivers, 500 nights, one class', 15, { drivers: 24, nights: 500, heats: 4, laps: 21, classes: 1 }],
  ['24 drivers, 500 nights, two classes', 15, { drivers: 24, nights: 500, heats: 4, laps: 21, classes: 2 }],
  ['200 drivers, 60 nights, two classes', 15, { drivers: 200, nights: 60, heats: 4, laps: 21, classes: 2 }],
  ['80 drivers, 16 nights, three classes', 15, { drivers: 80, nights: 16, heats: 24, laps: 33, classes: 3 }],
];

test.each(clubs)('%s', { timeout: 120_000 }, (name, mostS, club) => {
  collectGarbage();
  const laps = lapsOf(club);
  const drivers = Array.from({ length: club.drivers }, (_, d): DriverRow => {
    return { driver: `Driver ${d}`, group: d % 3 === 0 ? 'junior' : 'adult', nightsBefore: 0 };
  });
  const { fit, cpuS, peakMb, yields, longestMs } = timed(laps, drivers);
  console.log(
    `${name}: ${laps.length} laps, ${cpuS.toFixed(1)} s, ${Math.round(peakMb)} MB with the laps,`,
    `${yields} reports, longest without one ${Math.round(longestMs)} ms`,
  );
  expect(fit.drivers).toHaveLength(club.drivers);
  expect(cpuS).toBeLessThan(mostS);
  expect(peakMb).toBeLessThan(600);
});
