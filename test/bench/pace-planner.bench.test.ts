import { expect, test } from 'vitest';
import type { HandicapPlan, HandicapRequest } from '../../server/pace/handicap.ts';
import { planHeat, planningHeat } from '../../server/pace/planner.ts';
import { randomFrom } from '../../server/shared/random.ts';
import { driveFor, driveLaps, gapOf, randomCars, starterOf, type TrueCar, trueChances } from '../helpers/lap-by-lap.ts';

/**
 * The planner alone, told the truth: how even the chances are in heats driven lap by lap, and how long it takes. Demands:
 * a mean gap between the best and the worst chance of at most 0.06 with four and six drivers; 500 ms of processor time for
 * a heat of eight with the chances told.
 */
const fields = 40;
const trueHeats = 20_000;

const heats = {
  'delay, 150 s': { length: { kind: 'time', durationMs: 150_000 }, mode: 'delay', step: 100 },
  'credit, 150 s': { length: { kind: 'time', durationMs: 150_000 }, mode: 'credit', step: 10 },
  'delay, 25 laps': { length: { kind: 'laps', laps: 25 }, mode: 'delay', step: 100 },
} as const satisfies Record<string, Partial<HandicapRequest>>;

type Heat = keyof typeof heats;

function planFor(cars: readonly TrueCar[], heat: Heat, seed: number): HandicapPlan {
  const starters = cars.map(starterOf);
  const rest = { dial: 1, cap: null, byHand: starters.map(() => null), aroundHand: false };
  return planHeat({ starters, ...heats[heat], ...rest, seed });
}

const mean = (list: readonly number[]) => list.reduce((sum, x) => sum + x, 0) / list.length;

test.each((Object.keys(heats) as Heat[]).flatMap((heat) => [4, 6].map((k) => [heat, k] as const)))(
  '%s, %i drivers: true chances',
  { timeout: 900_000 },
  (heat, k) => {
    const random = randomFrom(70 + k);
    const gaps: number[] = [];
    const without: number[] = [];
    const errors: number[] = [];
    for (let f = 0; f < fields; f += 1) {
      const cars = randomCars(random, k);
      const plan = planFor(cars, heat, f);
      const carAt = (i: number) => cars[i] as TrueCar;
      const amount = (i: number) => plan.amounts[i] as number;
      const score = {
        'delay, 150 s': (i: number) => driveFor(carAt(i), 150 - amount(i) / 1000, random),
        'credit, 150 s': (i: number) => driveFor(carAt(i), 150, random) + amount(i) / 100,
        'delay, 25 laps': (i: number) => -amount(i) / 1000 - driveLaps(carAt(i), 25, random),
      }[heat];
      const chances = trueChances(k, trueHeats, score);
      gaps.push(gapOf(chances));
      without.push(gapOf(plan.winBefore));
      errors.push(...chances.map((p, i) => (p - (plan.winAfter[i] as number)) ** 2));
    }
    console.log(
      `${heat}, ${k} drivers: gap ${mean(gaps).toFixed(3)}, largest ${Math.max(...gaps).toFixed(3)}, ` +
        `without handicap ${mean(without).toFixed(2)}; told against true chances ${Math.sqrt(mean(errors)).toFixed(4)} rms`,
    );
    expect(mean(gaps)).toBeLessThanOrEqual(0.06);
  },
);

test('the search ends near equal chances in every field', { timeout: 900_000 }, () => {
  const random = randomFrom(5);
  let worst = 0;
  let most = 0;
  for (let f = 0; f < 40; f += 1) {
    for (let k = 2; k <= 8; k += 1) {
      const plan = planFor(randomCars(random, k), (Object.keys(heats) as Heat[])[f % 3] as Heat, f);
      worst = Math.max(worst, plan.error);
      const chanceError = Math.sqrt((1 / k) * (1 - 1 / k) * (1 / 4000 + 1 / 20_000));
      most = Math.max(most, ...plan.winAfter.map((p) => Math.abs(p - 1 / k) / chanceError));
    }
  }
  console.log(
    `280 fields: error of the search ${worst.toExponential(1)}, of fresh chances ${most.toFixed(1)} chance errors`,
  );
  expect(worst).toBeLessThan(0.005);
});

test('a heat of eight takes at most 500 ms', () => {
  const random = randomFrom(8);
  const times: number[] = [];
  let longest = 0;
  for (let f = 0; f < 12; f += 1) {
    const starters = randomCars(random, 8).map(starterOf);
    const request: HandicapRequest = {
      ...heats['delay, 150 s'],
      starters,
      dial: 1,
      cap: null,
      byHand: starters.map((_, i) => (i === 0 ? 2000 : null)),
      aroundHand: true,
      seed: f,
    };
    for (const byHand of [starters.map(() => null), request.byHand]) {
      const before = process.cpuUsage();
      const work = planningHeat({ ...request, byHand });
      for (let last = process.cpuUsage(), step = work.next(); !step.done; step = work.next()) {
        const now = process.cpuUsage(last);
        if (f > 1) longest = Math.max(longest, (now.user + now.system) / 1000);
        last = process.cpuUsage();
      }
      const spent = process.cpuUsage(before);
      if (f > 1 && byHand !== request.byHand) times.push((spent.user + spent.system) / 1000);
      if (f === 11 && byHand === request.byHand)
        console.log(`around an amount by hand: ${((spent.user + spent.system) / 1000).toFixed(0)} ms`);
    }
  }
  const sorted = times.toSorted((a, b) => a - b);
  console.log(
    `8 drivers: median ${sorted[5]?.toFixed(0)} ms, most ${sorted.at(-1)?.toFixed(0)} ms of processor time; ` +
      `longest piece ${longest.toFixed(0)} ms`,
  );
  expect(sorted[5]).toBeLessThanOrEqual(500);
});
