import { type Random, randomFrom } from '../shared/random.ts';
import { betaDraw, fillNormals, gammaDraw, geometricDraw, normalDraw, openUnit } from './numeric/draws.ts';
import { exp, normalQuantile } from './numeric/repeatable.ts';
import type { Starter } from './pace-fit.ts';

/** How long a heat is: a time for laps, or laps for a time. */
export type HeatLength =
  | { readonly kind: 'time'; readonly durationMs: number }
  | { readonly kind: 'laps'; readonly laps: number };

/**
 * Many possible runs of one starter. What is drawn does not depend on when the starter sets off, so runs stay comparable
 * while a delay is moved (common random numbers).
 */
export interface StarterDraws {
  readonly count: number;
  /** Seconds of a mean clean lap, by run. */
  readonly lapS: Float64Array;
  /** What the scatter of single laps adds up to: times the root of the laps driven, in laps. */
  readonly scatter: Float64Array;
  /** Crashes of run s are those from `firstStop[s]` to before `firstStop[s + 1]`: laps driven until then, seconds lost. */
  readonly firstStop: Uint32Array;
  readonly stopLap: readonly number[];
  readonly stopS: readonly number[];
}

/**
 * A run keeps about so many crashes at most; where more are expected, as in heats of hours, several are drawn as one. That
 * adds (several x loss)^2 / 6 to the variance: little beside that of a driver's level over such a time.
 */
const mostStops = 64;

/**
 * Draws runs of a starter: its level in this heat, the chance of a crash, the laps between crashes and the time each one
 * takes.
 *
 * @param starter sound figures, see `soundStarters`
 * @param length runs hold what can happen within it
 * @param count number of runs; their levels and scatter are spread evenly over what is possible
 */
export function drawRuns(starter: Starter, length: HeatLength, count: number, random: Random): StarterDraws {
  const { lapS, scatter } = drawPaces(starter, count, random);
  const tries = new Float64Array(count);
  const seeds = new Uint32Array(count);
  for (let s = 0; s < count; s += 1) {
    tries[s] = openUnit(random);
    seeds[s] = random.uint32();
  }
  const firstStop = new Uint32Array(count + 1);
  const stopLap: number[] = [];
  const stopS: number[] = [];
  for (let s = 0; s < count; s += 1) {
    const lap = lapS[s] as number;
    const chance = Math.min(0.98, Math.max(1e-9, betaDraw(random, starter.crash.alpha, starter.crash.beta)));
    const horizon = length.kind === 'time' ? length.durationMs / 1000 / lap : length.laps;
    const first = geometricDraw(tries[s] as number, chance);
    // Crashes come from numbers of their own: how many one run has moves nothing in the next.
    if (first - 1 < horizon) {
      addStops({ starter, chance, horizon, lap, first }, randomFrom(seeds[s] as number), stopLap, stopS);
    }
    firstStop[s + 1] = stopLap.length;
  }
  return { count, lapS, scatter, firstStop, stopLap, stopS };
}

function drawPaces(starter: Starter, count: number, random: Random) {
  const lapS = new Float64Array(count);
  const scatter = new Float64Array(count);
  fillNormals(random, lapS);
  fillNormals(random, scatter);
  const sd = Math.sqrt(starter.variance);
  const centre = starter.logPace + (starter.lapSd * starter.lapSd) / 2;
  // Laps that follow each other are alike, so their sum scatters more than that of independent ones.
  const spread = starter.lapSd * Math.sqrt((1 + starter.rho) / (1 - starter.rho));
  for (let s = 0; s < count; s += 1) {
    lapS[s] = exp(centre + sd * (lapS[s] as number));
    scatter[s] = spread * (scatter[s] as number);
  }
  return { lapS, scatter };
}

interface CrashRun {
  readonly starter: Starter;
  readonly chance: number;
  /** Laps that can be driven. */
  readonly horizon: number;
  readonly lap: number;
  /** The lap of the first crash. */
  readonly first: number;
}

/** Adds the crashes of one run: each somewhere in its lap, at most one a lap. */
function addStops(run: CrashRun, random: Random, stopLap: number[], stopS: number[]): void {
  const { chance, horizon, starter } = run;
  const bounds = { least: 0.5 * run.lap, most: 9 * run.lap };
  const together = Math.ceil((chance * horizon) / mostStops);
  if (together > 1) {
    addBundles(run, together, bounds, random, stopLap, stopS);
    return;
  }
  for (let lap = run.first; lap - 1 < horizon; lap += geometricDraw(openUnit(random), chance)) {
    const at = lap - openUnit(random);
    if (at >= horizon) return;
    stopLap.push(at);
    stopS.push(clamp(exp(starter.nu + starter.omega * normalDraw(random)), bounds));
  }
}

/** The same with several crashes drawn as one. */
function addBundles(
  { chance, horizon, starter }: CrashRun,
  together: number,
  bounds: Bounds,
  random: Random,
  stopLap: number[],
  stopS: number[],
): void {
  const loss = lossMoments(starter, bounds);
  const mean = together * loss.mean;
  const sd = Math.sqrt(together * loss.variance);
  const sums = { least: together * bounds.least, most: together * bounds.most };
  // The first comes after any number of them: so by each lap there are as many as one by one.
  let lap = gapOf(1 + Math.floor(random.unit() * together), chance, random);
  while (lap - 1 < horizon) {
    const at = lap - openUnit(random);
    if (at >= horizon) return;
    stopLap.push(at);
    stopS.push(clamp(mean + sd * normalDraw(random), sums));
    lap += gapOf(together, chance, random);
  }
}

interface Bounds {
  readonly least: number;
  readonly most: number;
}

const clamp = (x: number, { least, most }: Bounds) => Math.min(most, Math.max(least, x));

/** Laps until so many crashes happened: the negative binomial, by the gamma distribution with its mean and variance. */
function gapOf(crashes: number, chance: number, random: Random): number {
  const root = Math.sqrt(1 - chance);
  const laps = (crashes * (1 - root) + root * gammaDraw(random, crashes)) / chance;
  return Math.max(crashes, laps);
}

/** Mean and variance of the seconds lost in a crash, its bounds observed. */
function lossMoments({ nu, omega }: Starter, bounds: Bounds): { mean: number; variance: number } {
  let [sum, squares] = [0, 0];
  for (const z of slices) {
    const loss = clamp(exp(nu + omega * z), bounds);
    sum += loss;
    squares += loss * loss;
  }
  const mean = sum / slices.length;
  return { mean, variance: Math.max(0, squares / slices.length - mean * mean) };
}

/** Middles of slices of equal probability of the standard normal distribution. */
const slices = Float64Array.from({ length: 64 }, (_, i) => normalQuantile((i + 0.5) / 64));

/**
 * Laps driven in a time, part laps included, by run.
 *
 * @param timeS seconds from the starter's own start
 * @param laps gets the laps, at least 0
 * @param rate gets laps a second at the end: what one more second would add
 */
export function lapsIn(runs: StarterDraws, timeS: number, laps: Float64Array, rate: Float64Array): void {
  for (let s = 0; s < runs.count; s += 1) {
    if (!(timeS > 0)) {
      laps[s] = 0;
      rate[s] = 0;
      continue;
    }
    const lap = runs.lapS[s] as number;
    let leftS = timeS;
    let driven = 0;
    let stands = false;
    for (let e = runs.firstStop[s] as number; e < (runs.firstStop[s + 1] as number); e += 1) {
      const at = runs.stopLap[e] as number;
      const needS = (at - driven) * lap;
      if (needS >= leftS) break;
      driven = at;
      leftS -= needS + (runs.stopS[e] as number);
      stands = leftS <= 0;
      if (stands) break;
    }
    const n = stands ? driven : driven + leftS / lap;
    const scatter = runs.scatter[s] as number;
    const root = Math.sqrt(n);
    // Below one lap the root would let a car roll back; there scatter goes with the laps.
    laps[s] = Math.max(0, n - scatter * Math.min(n, root));
    rate[s] = stands ? 0 : Math.max(0, 1 - scatter * (n < 1 ? 1 : 0.5 / root)) / lap;
  }
}

/** Seconds for a number of laps, by run, from the starter's own start. */
export function timesFor(runs: StarterDraws, laps: number, timeS: Float64Array): void {
  const root = Math.sqrt(laps);
  for (let s = 0; s < runs.count; s += 1) {
    let sum = (laps + (runs.scatter[s] as number) * root) * (runs.lapS[s] as number);
    for (let e = runs.firstStop[s] as number; e < (runs.firstStop[s + 1] as number); e += 1) {
      if ((runs.stopLap[e] as number) < laps) sum += runs.stopS[e] as number;
    }
    timeS[s] = Math.max(0, sum);
  }
}
